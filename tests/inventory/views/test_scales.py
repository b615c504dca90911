"""Scales: their list and their form."""

import pytest
from django.urls import reverse

from inventory.models import Scale
from tests.factories.inventory import ScaleFactory


def test_the_lead_adds_a_scale(desk, key):
    fields = {"key": key, "name": "Bench", "capacity": "30", "resolution": "0.5", "is_in_use": "on"}
    answer = desk.post(reverse("inventory:scale-create"), fields)
    scale = Scale.objects.get()
    assert answer.url == reverse("inventory:scale-list")
    assert (scale.capacity_mg, scale.resolution_mg) == (30_000_000, 500)


def test_a_step_above_the_capacity_is_refused(desk, key):
    fields = {"key": key, "name": "Bench", "capacity": "1", "resolution": "1000"}
    answer = desk.post(reverse("inventory:scale-create"), fields)
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "resolution")
    assert not Scale.objects.exists()


def test_a_scale_is_taken_out_of_use(desk, key):
    scale = ScaleFactory(name="Bench")
    fields = {"key": key, "name": "Bench", "capacity": "60", "resolution": "10"}
    desk.post(reverse("inventory:scale-edit", args=[scale.pk]), fields)
    scale.refresh_from_db()
    assert not scale.is_in_use


@pytest.mark.parametrize("who", ["floor", "reader"])
def test_only_the_lead_changes_scales(request, who):
    client = request.getfixturevalue(who)
    assert client.get(reverse("inventory:scale-create")).status_code == 403


@pytest.mark.parametrize(
    ("query", "names"),
    [({}, ["Bench", "Floor"]), ({"q": "ben"}, ["Bench"]), ({"in_use": "no"}, ["Floor"])],
)
def test_scales_are_found(floor, query, names):
    ScaleFactory(name="Bench")
    ScaleFactory(name="Floor", is_in_use=False)
    page = floor.get(reverse("inventory:scale-list"), query).context["page"]
    assert [scale.name for scale in page] == names
