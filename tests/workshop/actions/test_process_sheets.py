"""The lead chooses a setting and drops it; nothing is set at which the polymer gives off fumes."""

from decimal import Decimal

import pytest

from inventory.actions.own_figures import set_own_figure
from inventory.models import Change
from tests.factories.book import refused, written
from tests.factories.inventory import make_act, polymer
from tests.factories.process_sheets import choose, drop, make_sheet_key
from tests.factories.workshop import MachineFactory
from workshop.models import ChosenSetting
from workshop.queries.process_sheets import chosen_now, chosen_rows

pytestmark = pytest.mark.django_db


@pytest.fixture
def key(db):
    return make_sheet_key()


def now(key):
    return chosen_now(chosen_rows(key.design, key.polymer, key.machine))


def test_a_chosen_setting_holds_with_person_note_and_unit(lead, key):
    row = choose(lead, key)
    assert now(key) == {"melt": row}
    assert (row.by, row.note, row.value, row.unit) == (lead, "clean surface", 228, "°C")
    change = Change.objects.get(verb="choose setting")
    assert (change.row, change.by, change.subject) == (row.pk, lead, str(key.design))


def test_the_newest_holds_and_the_older_stays(lead, key):
    choose(lead, key)
    newest = choose(lead, key, value=224)
    assert now(key)["melt"] == newest
    assert ChosenSetting.objects.count() == 2


def test_it_is_dropped_and_stays_in_the_history(lead, key):
    choose(lead, key)
    row = drop(lead, key)
    assert now(key) == {}
    assert (row.is_dropped, row.unit, ChosenSetting.objects.count()) == (True, "°C", 2)


def test_it_holds_for_its_own_polymer_and_machine_only(lead, key):
    choose(lead, key)
    assert now(make_sheet_key(design=key.design, machine=key.machine, symbol="PE-HD")) == {}
    assert now(make_sheet_key(design=key.design)) == {}


def test_words_of_ones_own_bring_their_unit(lead, key):
    row = choose(lead, key, name=" dwell before opening ", value=3, unit=" s ")
    assert (row.name, row.unit) == ("dwell before opening", "s")


def test_what_is_read_keeps_its_unit_whatever_is_sent(lead, key):
    assert choose(lead, key, unit="°F").unit == "°C"


def test_a_repeat_changes_nothing(lead, key):
    act = make_act(lead, "clean surface")
    first = choose(lead, key, act=act)
    before = written()
    assert choose(lead, key, act=act) == first
    assert written() == before
    with refused("key-reused"):
        choose(lead, key, value=229, act=act)


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("reason", {"reason": " "}),
        ("no-setting", {"name": "platen"}),  # read at a press, not at an injection machine
        ("no-setting", {"name": "step-draw"}),
        ("no-setting", {"name": "  "}),
        ("absurd", {"value": 501}),
        ("absurd", {"name": "cycle", "value": 0}),
        ("absurd", {"name": "turns", "value": 1_000_000}),
        ("above-fume", {"value": 281}),  # PP: 280 °C in the reference data
    ],
)
def test_what_cannot_be_set_is_refused(lead, key, code, changes):
    with refused(code):
        choose(lead, key, **changes)


def test_an_own_ceiling_that_is_lower_holds(lead, key):
    act = make_act(lead, "smelt")
    set_own_figure(polymer=key.polymer, name="fume-above", ends={"typical": Decimal(240)}, act=act)
    with refused("above-fume"):
        choose(lead, key, value=241)
    assert choose(lead, key, value=240).value == 240


@pytest.mark.parametrize("symbol", ["PS", "PVC-U"])
def test_a_polymer_of_which_it_is_not_made_is_refused(lead, key, symbol):
    with refused("wrong-polymer"):
        choose(lead, make_sheet_key(design=key.design, machine=key.machine, symbol=symbol))


def test_reject_material_is_refused_though_the_design_allows_any(lead, key):
    key.design.polymers.clear()
    with refused("wrong-polymer"):
        choose(lead, make_sheet_key(design=key.design, machine=key.machine, symbol="POM"))


def test_a_machine_that_does_not_make_it_is_refused(lead, key):
    other = make_sheet_key(design=key.design, machine=MachineFactory(kind="press"))
    with refused("wrong-machine"):
        choose(lead, other)


def test_what_nobody_chose_is_not_dropped_nor_twice(lead, key):
    with refused("not-chosen"):
        drop(lead, key)
    choose(lead, key)
    with refused("reason"):
        drop(lead, key, reason="")
    drop(lead, key)
    with refused("not-chosen"):
        drop(lead, key)


def test_a_repeated_drop_changes_nothing(lead, key):
    choose(lead, key)
    act = make_act(lead, "new screw")
    first = drop(lead, key, act=act)
    before = written()
    assert drop(lead, key, act=act) == first
    assert written() == before
    assert polymer("PP") == key.polymer
