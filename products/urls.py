"""Addresses of the products."""

from django.urls import path

from products.views import designs, parts, passports

app_name = "products"
urlpatterns = [
    path("products/", designs.index, name="product-list"),
    path("designs/new/", designs.create, name="design-create"),
    path("designs/<int:pk>/", designs.detail, name="design-detail"),
    path("designs/<int:pk>/edit/", designs.edit, name="design-edit"),
    path("designs/<int:pk>/photo/", designs.photo, name="design-photo"),
    path("designs/<int:pk>/withdraw/", designs.withdraw, name="design-withdraw"),
    path("parts/", parts.index, name="part-list"),
    path("parts/<str:code>/", parts.detail, name="part-detail"),
    path("parts/<str:code>/hand-over/", parts.hand_over, name="part-hand-over"),
    path("parts/<str:code>/take-back/", parts.take_back, name="part-take-back"),
    path("parts/<str:code>/passport/", passports.issue, name="passport-issue"),
]
