"""The lead puts own figures in the place of the reference's; nothing raises a fume ceiling."""

from decimal import Decimal

import pytest

from inventory.actions.own_figures import return_to_reference, set_own_figure
from inventory.models import Change, OwnFigure
from inventory.queries.own_figures import ceiling_of, own_of
from tests.factories.book import refused, written
from tests.factories.inventory import make_act, polymer

pytestmark = pytest.mark.django_db


def put(by, name="press-platen", symbol="PP", reason="supplier's sheet", act=None, **ends):
    ends = ends or {"low": Decimal(185), "high": Decimal(205)}
    return set_own_figure(
        polymer=polymer(symbol), name=name, ends=ends, act=act or make_act(by, reason)
    )


def give_back(by, name="press-platen", symbol="PP", reason="new batch", act=None):
    return return_to_reference(polymer=polymer(symbol), name=name, act=act or make_act(by, reason))


def ceiling(symbol):
    return ceiling_of(polymer(symbol), own_of(polymer(symbol)))


def test_an_own_figure_holds_with_person_note_and_time(lead):
    row = put(lead)
    assert own_of(polymer("PP"))["press-platen"] == row
    assert (row.by, row.note, row.low, row.high) == (lead, "supplier's sheet", 185, 205)
    change = Change.objects.get(verb="own figure")
    assert (change.subject, change.row, change.by) == ("PP press-platen", row.pk, lead)


def test_the_newest_figure_holds_and_the_older_stays(lead):
    put(lead)
    newest = put(lead, low=Decimal(190), high=Decimal(200))
    assert own_of(polymer("PP"))["press-platen"] == newest
    assert OwnFigure.objects.count() == 2


def test_going_back_leaves_the_history(lead):
    put(lead)
    row = give_back(lead)
    assert row.is_back
    assert own_of(polymer("PP")) == {}
    assert OwnFigure.objects.count() == 2
    assert Change.objects.filter(verb="back to the reference", row=row.pk).exists()


def test_refuses_to_go_back_from_the_reference(lead):
    with refused("no-own"):
        give_back(lead)


def test_refuses_to_go_back_twice(lead):
    put(lead)
    give_back(lead)
    with refused("no-own"):
        give_back(lead)


def test_refuses_without_a_reason(lead):
    with refused("reason"):
        put(lead, reason="")


def test_refuses_to_go_back_without_a_reason(lead):
    put(lead)
    with refused("reason"):
        give_back(lead, reason=" ")


@pytest.mark.parametrize(
    ("code", "name", "ends"),
    [
        ("incomplete", "press-platen", {"low": Decimal(180)}),
        ("disordered", "press-platen", {"low": Decimal(200), "high": Decimal(180)}),
        ("absurd", "density", {"typical": Decimal(905)}),
        ("no-figure", "colour", {"typical": Decimal(1)}),
        ("no-figure", "spencer-gilmore", {"typical": Decimal(1)}),
    ],
)
def test_refuses_what_is_no_figure(lead, code, name, ends):
    with refused(code):
        put(lead, name=name, **ends)


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
def test_refuses_a_window_of_reject_material(lead, symbol):
    """So that nothing invites anybody to heat it."""
    with refused("no-figure"):
        put(lead, symbol=symbol)


def test_a_fume_ceiling_is_lowered_freely(lead):
    put(lead, name="fume-above", typical=Decimal(240))
    assert ceiling("PP") == 240


def test_refuses_a_fume_ceiling_above_the_reference(lead):
    """The reference has 280 °C for PP; who would work hotter finds no way in here."""
    with refused("above-reference"):
        put(lead, name="fume-above", typical=Decimal(281))
    assert ceiling("PP") == 280


def test_an_own_ceiling_may_rise_again_up_to_the_reference(lead):
    put(lead, name="fume-above", typical=Decimal(240))
    put(lead, name="fume-above", typical=Decimal(280))
    assert ceiling("PP") == 280


def test_a_reference_that_falls_below_the_own_ceiling_holds(lead):
    put(lead, name="fume-above", typical=Decimal(270))
    row = polymer("PP")
    row.fume_above_c = 250
    assert ceiling_of(row, own_of(row)) == 250


def test_refuses_a_window_that_reaches_above_the_fume_ceiling(lead):
    put(lead, name="fume-above", typical=Decimal(200))
    with refused("above-fume"):
        put(lead, low=Decimal(185), high=Decimal(201))
    put(lead, low=Decimal(185), high=Decimal(200))


def test_a_mould_may_be_any_temperature_that_moulds_have(lead):
    put(lead, name="fume-above", typical=Decimal(60))
    row = put(lead, name="inject-mould", low=Decimal(20), high=Decimal(80))
    assert row.high == 80


def test_a_repeat_changes_nothing(lead):
    act = make_act(lead, "supplier's sheet")
    first = put(lead, act=act)
    put(lead, low=Decimal(190), high=Decimal(200))
    before = written()
    assert put(lead, act=act) == first
    assert written() == before
    assert OwnFigure.objects.count() == 2


def test_a_repeated_return_changes_nothing(lead):
    put(lead)
    act = make_act(lead, "new batch")
    first = give_back(lead, act=act)
    assert give_back(lead, act=act) == first
    assert OwnFigure.objects.count() == 2
