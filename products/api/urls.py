"""Addresses of the products' part of the API."""

from django.urls import path

from products.api import designs, parts, passports

urlpatterns = [
    path("designs/", designs.Designs.as_view(), name="designs"),
    path("parts/", parts.Parts.as_view(), name="parts"),
    path("parts/<str:code>/", parts.OnePart.as_view(), name="part"),
    path("parts/<str:code>/hand-over/", parts.HandOver.as_view(), name="part-hand-over"),
    path("parts/<str:code>/take-back/", parts.TakeBack.as_view(), name="part-take-back"),
    path("parts/<str:code>/passport/", passports.PartPassport.as_view(), name="part-passport"),
]
