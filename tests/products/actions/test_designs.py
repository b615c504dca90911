"""Designs are added, changed and withdrawn."""

import pytest

from products.actions.designs import save_design, withdraw_design
from products.calculations.sheet_sizes import Size
from products.models import Design
from tests.factories.book import refused, written
from tests.factories.inventory import KG, make_act, polymer
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db

FIELDS = {"name": "Stool", "form": "part", "made_by": "form", "nominal_mass_mg": 2 * KG}


def save(by, polymers=(), act=None, design=None, **changes):
    act, fields = act or make_act(by), FIELDS | changes
    return save_design(fields=fields, polymers=polymers, act=act, design=design)


def test_adds_a_design_with_the_polymers_it_is_made_of(lead):
    design = save(lead, [polymer("PP"), polymer("PE-HD")])
    assert [each.symbol for each in design.polymers.all()] == ["PE-HD", "PP"]


def test_refuses_a_name_that_is_taken_whatever_its_capitals(lead):
    save(lead)
    with refused("name-taken"):
        save(lead, name="STOOL")


@pytest.mark.parametrize("mass_mg", [0, -1])
def test_refuses_a_design_without_mass(lead, mass_mg):
    with refused("nominal-mass"):
        save(lead, nominal_mass_mg=mass_mg)


def test_changes_a_design_and_its_polymers(lead):
    design = save(lead, [polymer("PP")])
    save(lead, [polymer("PS")], design=design, name="Tall stool")
    assert Design.objects.get().name == "Tall stool"
    assert [each.symbol for each in design.polymers.all()] == ["PS"]


def test_editing_does_not_undo_a_withdrawal_of_meanwhile(lead):
    stale = save(lead)
    withdraw_design(design=stale, act=make_act(lead))
    save(lead, design=stale, note="legs glued")
    assert Design.objects.get().withdrawn_at


def test_a_repeat_finds_the_design_under_its_new_name(lead):
    act = make_act(lead)
    design = save(lead, act=act)
    save(lead, design=design, name="Tall stool")
    before = written()
    assert save(lead, act=act) == design
    assert written() == before


def test_withdrawn_it_stays_on_record(lead):
    withdraw_design(design=DesignFactory(), act=make_act(lead))
    assert Design.objects.get().withdrawn_at


def test_refuses_to_withdraw_twice_even_from_a_page_that_is_out_of_date(lead):
    stale = DesignFactory()
    withdraw_design(design=Design.objects.get(), act=make_act(lead))
    with refused("withdrawn"):
        withdraw_design(design=stale, act=make_act(lead))


def test_a_repeated_withdrawal_changes_nothing(lead):
    design, act = DesignFactory(), make_act(lead)
    withdraw_design(design=design, act=act)
    before = written()
    assert withdraw_design(design=design, act=act) == design
    assert written() == before


def test_only_a_sheet_has_a_usual_size(lead):
    size = {"length_um": 600_000, "width_um": 500_000}
    with refused("no-sheet"):
        save(lead, **size)
    assert not Design.objects.exists()
    assert save(lead, form="sheet", **size).size == Size(600_000, 500_000)
