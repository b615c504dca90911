"""Reference data is loaded again without harm; blends are the lead's decision."""

from pathlib import Path

import pytest

from inventory.actions.materials import load_reference, switch_blend
from inventory.models import Blend, Polymer
from tests.factories.book import refused, written
from tests.factories.inventory import make_act, polymer

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference_materials.json"

pytestmark = pytest.mark.django_db


def switch(by, main="PE-HD", added="PP", reason="trial batch", **more):
    fields = {"main": polymer(main), "added": polymer(added), "is_on": more.pop("is_on", True)}
    return switch_blend(**fields, act=more.pop("act", None) or make_act(by, reason), **more)


def test_loading_reference_data_again_changes_nothing():
    before = written()
    load_reference(REFERENCE)
    assert written() == before


def test_a_blend_becomes_a_polymer_with_its_own_mark(lead):
    blend = switch(lead, most_added_permille=100)
    assert (blend.result.symbol, blend.result.mark) == ("PE-HD+PP", ">PE-HD+PP<")
    assert (blend.switched_by, blend.reason, blend.is_on) == (lead, "trial batch", True)


def test_a_blend_is_switched_off_and_stays_on_record(lead):
    switch(lead)
    switch(lead, is_on=False, reason="parts broke")
    blend = Blend.objects.get()
    assert (blend.is_on, blend.reason) == (False, "parts broke")
    assert Polymer.objects.filter(symbol="PE-HD+PP").count() == 1


def test_refuses_a_blend_without_a_reason(lead):
    with refused("reason"):
        switch(lead, reason="")


@pytest.mark.parametrize(
    ("main", "added"), [("PP", "PP"), ("PVC-U", "PP"), ("PP", "POM"), ("PP", "PE-HD")]
)
def test_refuses_a_pair_that_can_be_no_blend(lead, main, added):
    switch(lead)
    with refused("blend"):
        switch(lead, main=main, added=added)


def test_refuses_a_blend_of_a_blend(lead):
    switch(lead)
    with refused("blend"):
        switch(lead, main="PE-HD+PP", added="PS")


@pytest.mark.parametrize("permille", [0, 1000])
def test_refuses_a_limit_that_is_none(lead, permille):
    with refused("blend"):
        switch(lead, most_added_permille=permille)


def test_a_repeated_switching_changes_nothing(lead):
    act = make_act(lead, "trial batch")
    first = switch(lead, act=act)
    switch(lead, is_on=False, reason="parts broke")
    before = written()
    assert switch(lead, act=act) == first
    assert written() == before
