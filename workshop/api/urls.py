"""Every address of the API."""

from django.urls import include, path, re_path

from workshop.api import (
    balances,
    charges,
    codes,
    machines,
    people,
    runs,
    scan_photos,
    schemas,
    tokens,
    yields,
)

app_name = "api"
urlpatterns = [
    path("schema/", schemas.Schema.as_view(), name="schema"),
    path("token/", tokens.Tokens.as_view(), name="token"),
    path("", include("inventory.api.urls")),
    path("", include("products.api.urls")),
    path("codes/", codes.OneCode.as_view(), name="code"),
    path("machines/", machines.Machines.as_view(), name="machines"),
    path("machines/<int:id>/purges/", machines.Purges.as_view(), name="machine-purges"),
    path("people/", people.People.as_view(), name="people"),
    path("people/me/pin/", people.SetOwnPin.as_view(), name="own-pin"),
    path("people/<int:id>/pin/", people.SetPin.as_view(), name="person-pin"),
    path("people/<int:id>/pin/clear/", people.ClearPin.as_view(), name="person-pin-clear"),
    path("people/<int:id>/pin/lift/", people.LiftLockOut.as_view(), name="person-pin-lift"),
    path("runs/", runs.Runs.as_view(), name="runs"),
    path("runs/<str:code>/", balances.OneRun.as_view(), name="run"),
    path("runs/<str:code>/abandon/", runs.Abandon.as_view(), name="run-abandon"),
    path("runs/<str:code>/carry/", charges.Carry.as_view(), name="run-carry"),
    path("runs/<str:code>/close/", runs.Close.as_view(), name="run-close"),
    path("runs/<str:code>/loads/", charges.Loads.as_view(), name="run-loads"),
    path("runs/<str:code>/reopen/", runs.Reopen.as_view(), name="run-reopen"),
    path("runs/<str:code>/yields/", yields.Yields.as_view(), name="run-yields"),
    path("scan-frames/", scan_photos.ScanFrames.as_view(), name="scan-frames"),
    path("scan-photos/", scan_photos.ScanPhotos.as_view(), name="scan-photos"),
    path("tooling/", machines.AllTooling.as_view(), name="tooling"),
    re_path(r"", schemas.Nowhere.as_view(), name="nowhere"),
]
