"""Addresses of the shop floor."""

from django.urls import path

from workshop.views import charges, machines, runs, tooling, yields

app_name = "workshop"
urlpatterns = [
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
