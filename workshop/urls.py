"""Every address of the project."""

from django.contrib import admin
from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

urlpatterns = [
    path("login/", LoginView.as_view(), name="login"),
    path("logout/", LogoutView.as_view(), name="logout"),
    path("admin/", admin.site.urls),
    path("api/", include("workshop.api.urls")),
    path("", include("inventory.urls")),
    path("", include("products.urls")),
    path("", include("workshop.floor_urls")),
]
