"""Addresses of the products."""

from django.urls import path

from products.views import (
    addresses,
    designs,
    grids,
    labels,
    marks,
    parts,
    passports,
    printings,
    stamps,
)

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
    path("labels/", labels.index, name="label-list"),
    path("labels/address/", addresses.move, name="address-move"),
    path("labels/choose/<slug:slug>/", labels.choose, name="label-choose"),
    path("labels/grids/", grids.index, name="grid-list"),
    path("labels/grids/new/", grids.create, name="grid-create"),
    path("labels/grids/<int:pk>/edit/", grids.edit, name="grid-edit"),
    path("labels/grids/<int:pk>/delete/", grids.delete, name="grid-delete"),
    path("labels/grids/<int:pk>/calibrate/", grids.calibrate, name="grid-calibrate"),
    path("labels/grids/<int:pk>/calibration.pdf", grids.calibration, name="grid-calibration"),
    path("labels/of/<slug:slug>/<str:code>/", labels.of_thing, name="label-thing"),
    path("labels/preview.svg", printings.preview, name="label-preview"),
    path("labels/print/", printings.create, name="label-print"),
    path("labels/printings/<uuid:uuid>/", printings.detail, name="printing-detail"),
    path("labels/printings/<uuid:uuid>/sheet.pdf", printings.sheet, name="printing-sheet"),
    path("labels/<str:code>/", labels.detail, name="label-detail"),
    path("labels/<str:code>/label.png", labels.single, {"suffix": "png"}, name="label-png"),
    path("labels/<str:code>/label.svg", labels.single, {"suffix": "svg"}, name="label-svg"),
    path("labels/<str:code>/replace/", labels.replace, name="label-replace"),
    path("labels/<str:code>/void/", labels.void, name="label-void"),
    path("marks/triangle.svg", marks.triangle, name="mark-triangle"),
    path("designs/<int:pk>/stamp/", stamps.detail, name="stamp-detail"),
    path("designs/<int:pk>/stamp.dxf", stamps.download, {"suffix": "dxf"}, name="stamp-dxf"),
    path("designs/<int:pk>/stamp.svg", stamps.download, {"suffix": "svg"}, name="stamp-svg"),
]
