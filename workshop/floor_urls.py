"""Addresses of the shop floor."""

from django.urls import path

from workshop.views import charges, machines, people, runs, tooling, turns, yields

app_name = "workshop"
urlpatterns = [
    path("bench/", turns.pick, name="turn-pick"),
    path("bench/<int:pk>/", turns.begin, name="turn-begin"),
    path("bench/lock/", turns.lock, name="turn-lock"),
    path("bench/seen/", turns.seen, name="turn-seen"),
    path("bench/typed/", turns.typed, name="turn-typed"),
    path("people/", people.index, name="person-list"),
    path("people/pin/", people.set_own, name="pin-own"),
    path("people/<int:pk>/pin/", people.set_one, name="pin-set"),
    path("people/<int:pk>/pin/clear/", people.clear, name="pin-clear"),
    path("people/<int:pk>/pin/lift/", people.lift, name="pin-lift"),
    path("runs/", runs.index, name="run-list"),
    path("runs/open/", runs.open_one, name="run-open"),
    path("runs/<str:code>/", runs.detail, name="run-detail"),
    path("runs/<str:code>/load/", charges.load, name="run-load"),
    path("runs/<str:code>/carry/", charges.carry, name="run-carry"),
    path("runs/<str:code>/yield/", yields.weigh_out, name="run-yield"),
    path("runs/<str:code>/close/", runs.close, name="run-close"),
    path("runs/<str:code>/abandon/", runs.abandon, name="run-abandon"),
    path("runs/<str:code>/reopen/", runs.reopen, name="run-reopen"),
    path("machines/", machines.index, name="machine-list"),
    path("machines/new/", machines.create, name="machine-create"),
    path("machines/<int:pk>/", machines.detail, name="machine-detail"),
    path("machines/<int:pk>/edit/", machines.edit, name="machine-edit"),
    path("machines/<int:pk>/purge/", machines.purge, name="machine-purge"),
    path("tooling/", tooling.index, name="tooling-list"),
    path("tooling/new/", tooling.create, name="tooling-create"),
    path("tooling/<int:pk>/edit/", tooling.edit, name="tooling-edit"),
]
