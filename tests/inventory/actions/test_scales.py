"""Scales are added and changed."""

import pytest

from inventory.actions.scales import save_scale
from inventory.models import Scale
from tests.factories.book import refused, written
from tests.factories.inventory import KG, make_act

pytestmark = pytest.mark.django_db

FIELDS = {"name": "Floor scale", "capacity_mg": 60 * KG, "resolution_mg": 10_000}


def test_adds_a_scale(lead):
    scale = save_scale(fields=FIELDS, act=make_act(lead))
    assert (scale.name, scale.resolution_mg, scale.is_in_use) == ("Floor scale", 10_000, True)


def test_refuses_a_name_that_is_taken_whatever_its_capitals(lead):
    save_scale(fields=FIELDS, act=make_act(lead))
    with refused("name-taken"):
        save_scale(fields=FIELDS | {"name": "FLOOR SCALE"}, act=make_act(lead))


@pytest.mark.parametrize("step_mg", [0, 60 * KG])
def test_refuses_a_step_that_is_none_or_the_whole_scale(lead, step_mg):
    with refused("resolution"):
        save_scale(fields=FIELDS | {"resolution_mg": step_mg}, act=make_act(lead))


def test_changes_only_what_is_named(lead):
    scale = save_scale(fields=FIELDS, act=make_act(lead))
    Scale.objects.update(is_in_use=False)
    save_scale(fields={"name": "Old scale"} | FIELDS, scale=scale, act=make_act(lead))
    assert Scale.objects.get().is_in_use is False


def test_a_repeat_finds_the_scale_under_its_new_name(lead):
    act = make_act(lead)
    scale = save_scale(fields=FIELDS, act=act)
    save_scale(fields=FIELDS | {"name": "Yard scale"}, scale=scale, act=make_act(lead))
    before = written()
    assert save_scale(fields=FIELDS, act=act).name == "Yard scale"
    assert written() == before
