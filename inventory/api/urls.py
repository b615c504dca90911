"""Addresses of the inventory's part of the API."""

from django.urls import path

from inventory.api import (
    bins,
    deliveries,
    holds,
    lots,
    materials,
    postings,
    scales,
    sources,
    traces,
)

urlpatterns = [
    path("bins/", bins.Bins.as_view(), name="bins"),
    path("bins/<str:code>/", bins.OneBin.as_view(), name="bin"),
    path("bins/<str:code>/retire/", bins.Retire.as_view(), name="bin-retire"),
    path("colours/", materials.Colours.as_view(), name="colours"),
    path("deliveries/", deliveries.Deliveries.as_view(), name="deliveries"),
    path("deliveries/refusals/", deliveries.DeliveryRefusals.as_view(), name="delivery-refusals"),
    path("deliveries/<str:code>/", deliveries.OneDelivery.as_view(), name="delivery"),
    path("disposals/", lots.Disposals.as_view(), name="disposals"),
    path("holds/", holds.Holds.as_view(), name="holds"),
    path("holds/<int:id>/lift/", holds.Lift.as_view(), name="hold-lift"),
    path("lots/", lots.Lots.as_view(), name="lots"),
    path("lots/<str:code>/", lots.OneLot.as_view(), name="lot"),
    path("lots/<str:code>/holds/", holds.LotHolds.as_view(), name="lot-holds"),
    path("lots/<str:code>/identify/", lots.Identify.as_view(), name="lot-identify"),
    path("lots/<str:code>/make-up/", traces.MakeUp.as_view(), name="lot-make-up"),
    path("lots/<str:code>/origins/", traces.Origins.as_view(), name="lot-origins"),
    path("lots/<str:code>/uses/", traces.Uses.as_view(), name="lot-uses"),
    path("moves/", lots.Moves.as_view(), name="moves"),
    path("polymers/", materials.Polymers.as_view(), name="polymers"),
    path("postings/", postings.Postings.as_view(), name="postings"),
    path("postings/<uuid:uuid>/", postings.OnePosting.as_view(), name="posting"),
    path("postings/<uuid:uuid>/reversal/", postings.Reversal.as_view(), name="posting-reversal"),
    path("scales/", scales.Scales.as_view(), name="scales"),
    path("sources/", sources.Sources.as_view(), name="sources"),
    path("write-offs/", lots.WriteOffs.as_view(), name="write-offs"),
]
