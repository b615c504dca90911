"""Addresses of the products' part of the API."""

from django.urls import path

from products.api import (
    addresses,
    designs,
    grids,
    labels,
    marks,
    parts,
    passports,
    printings,
    stamps,
    windows,
)

urlpatterns = [
    path("designs/", designs.Designs.as_view(), name="designs"),
    path("designs/<int:id>/windows/", windows.Windows.as_view(), name="design-windows"),
    path("designs/<int:id>/windows/", windows.Windows.as_view(), name="design-windows"),
    path("parts/", parts.Parts.as_view(), name="parts"),
    path("parts/<str:code>/", parts.OnePart.as_view(), name="part"),
    path("parts/<str:code>/hand-over/", parts.HandOver.as_view(), name="part-hand-over"),
    path("parts/<str:code>/take-back/", parts.TakeBack.as_view(), name="part-take-back"),
    path("parts/<str:code>/passport/", passports.PartPassport.as_view(), name="part-passport"),
    path("designs/<int:id>/marks/", marks.DesignMark.as_view(), name="design-marks"),
    path("label-grids/", grids.Grids.as_view(), name="label-grids"),
    path("label-grids/<int:id>/calibration/", grids.Calibrate.as_view(), name="grid-calibration"),
    path("label-grids/<int:id>/delete/", grids.Delete.as_view(), name="grid-delete"),
    path("labels/", labels.Labels.as_view(), name="labels"),
    path("labels/<str:code>/", labels.OneLabel.as_view(), name="label"),
    path("labels/<str:code>/label.png", labels.LabelPng.as_view(), name="label-png"),
    path("labels/<str:code>/label.svg", labels.LabelSvg.as_view(), name="label-svg"),
    path("labels/<str:code>/replace/", labels.Replace.as_view(), name="label-replace"),
    path("labels/<str:code>/void/", labels.Void.as_view(), name="label-void"),
    path("lots/<str:code>/mark/", marks.LotMark.as_view(), name="lot-mark"),
    path("marks/parse/", marks.ParseMark.as_view(), name="mark-parse"),
    path("passports/stale/", passports.Stale.as_view(), name="passports-stale"),
    path("printed-addresses/", addresses.Addresses.as_view(), name="printed-addresses"),
    path("printings/", printings.Printings.as_view(), name="printings"),
    path("printings/<uuid:uuid>/", printings.OnePrinting.as_view(), name="printing"),
    path("printings/<uuid:uuid>/sheet.pdf", printings.Sheet.as_view(), name="printing-sheet"),
    path("stamps/stamp.dxf", stamps.StampDxf.as_view(), name="stamp-dxf"),
    path("stamps/stamp.svg", stamps.StampSvg.as_view(), name="stamp-svg"),
]
