"""Process sheets that go out with a design and come in with one, and what trying them here changes."""

import json
from decimal import Decimal

import pytest

from inventory.actions.own_figures import set_own_figure
from products.actions.design_files import bring_design
from products.calculations.foreign_sheets import MACHINE, MACHINE_KINDS
from products.models import Design
from products.queries.design_files import file_of, read_file
from tests.factories.inventory import make_act, polymer
from tests.factories.process_sheets import choose, closed_run, drop, make_sheet_key
from tests.factories.workshop import DesignFactory, MachineFactory
from tests.kept import kept
from workshop.actions.process_sheets import SheetKey
from workshop.calculations.operations import RULES
from workshop.models import ChosenSetting, Machine
from workshop.queries.foreign_sheets import foreign_sheets, told_sheets
from workshop.queries.process_sheets import process_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def key(db):
    machine = MachineFactory(
        kind="injection", name="Ours alone", force_kn=250, shot_mm3=60_500, barrel_mm3=180_000
    )
    return make_sheet_key(machine=machine)


@pytest.fixture
@kept
def taught(key, operator, lead):
    """A sheet with a learned and a chosen setting, and one in words of one's own."""
    for melt in (228, 230, 231, 240):
        closed_run(operator, key, melts=[melt])
    choose(lead, key, name="mould", value=45)
    choose(lead, key, name="dwell", value="2.50", unit="turns", reason="Anna said so")
    return key


@pytest.fixture
@kept
def brought(taught, lead):
    """The design as another workshop brings it in."""
    return bring(lead, taught.design, "Theirs")


def bring(by, design: Design, name: str) -> Design:
    text = json.dumps(file_of(Design.objects.get(pk=design.pk)))
    read = read_file(text)
    assert read.faults == []
    return bring_design(document=read.document, name=name, act=make_act(by))


def test_the_kinds_of_machines_are_those_of_the_workshop():
    for operation, kinds in MACHINE_KINDS.items():
        assert kinds == RULES[operation].machines
    assert set(MACHINE["properties"]["kind"]["enum"]) <= set(Machine.Kind.values)


def test_a_sheet_tells_what_worked_and_no_name(taught):
    (sheet,) = told_sheets(taught.design)
    assert sheet["polymer"] == "PP"
    assert sheet["machine"] == {
        "kind": "injection",
        "force_kn": "250",
        "shot_cm3": "60.5",
        "barrel_cm3": "180",
    }
    assert (sheet["runs"], sheet["is_second_hand"]) == (4, False)
    melt, mould, dwell = sheet["settings"]
    # By hand: the median of 228, 230, 231 and 240 and its quartiles (Hyndman and Fan's type 7).
    assert melt == {
        "name": "melt",
        "value": "230.5",
        "unit": "°C",
        "is_chosen": False,
        "runs": 4,
        "low": "229.5",
        "high": "233.25",
    }
    assert (mould["value"], mould["is_chosen"]) == ("45", True)
    assert (dwell["name"], dwell["value"], dwell["unit"]) == ("dwell", "2.5", "turns")
    text = json.dumps(sheet)
    assert "Ours alone" not in text
    assert "Anna" not in text


def test_each_polymer_on_each_machine_has_its_own(taught, lead):
    other = make_sheet_key(design=taught.design, symbol="PE-HD")
    choose(lead, other, value=205)
    assert [each["polymer"] for each in told_sheets(taught.design)] == ["PP", "PE-HD"]
    drop(lead, other)
    assert [each["polymer"] for each in told_sheets(taught.design)] == ["PP"]


def test_nothing_that_fumes_is_told(taught, lead):
    choose(lead, taught, value=260)
    ends, act = {"typical": Decimal(240)}, make_act(lead, "smelt")
    set_own_figure(polymer=taught.polymer, name="fume-above", ends=ends, act=act)
    (sheet,) = told_sheets(taught.design)
    assert [each["name"] for each in sheet["settings"]] == ["mould", "dwell"]


def test_words_that_a_file_would_read_as_a_time_stay_here(key, lead):
    choose(lead, key, name="step-by-step", value=3, unit="turns")
    assert told_sheets(key.design) == []


def test_what_goes_out_comes_in_and_goes_out_the_same_but_second_hand(taught, brought, lead):
    document = file_of(taught.design)
    (own,) = document["process_sheets"]
    (passed,) = file_of(brought)["process_sheets"]
    assert passed == own | {"is_second_hand": True}
    third = bring(lead, brought, "Third")
    assert file_of(third) == file_of(brought) | {"name": "Third"}


def test_the_sheet_of_a_brought_design_opens_on_the_polymer_that_was_told(brought, client, lead):
    brought.polymers.set([polymer("ABS"), polymer("PP")])
    assert process_sheet(brought).polymer.symbol == "PP"
    client.force_login(lead)
    page = client.get(f"/designs/{brought.pk}/process/")
    assert [symbol for symbol, _query in page.context["polymers"]] == ["ABS"]
    assert "In ABS" in page.content.decode()


def test_a_brought_design_says_so_on_its_page(brought, client, lead):
    client.force_login(lead)
    assert (
        "from a file of another workshop, on "
        in client.get(brought.get_absolute_url()).content.decode()
    )
    own = client.get(DesignFactory().get_absolute_url()).content.decode()
    assert "from a file of another workshop" not in own


def test_it_arrives_untried_and_is_no_choice_of_ours(brought):
    shown = process_sheet(brought)
    (foreign,) = foreign_sheets(shown)
    assert (foreign.tried, foreign.pairs) == (0, [])
    assert (foreign.sheet.polymer.symbol, foreign.sheet.machine_kind) == ("PP", "injection")
    assert [each.name for each in foreign.settings] == ["melt", "mould", "dwell"]
    assert shown.chosen == []
    assert not ChosenSetting.objects.filter(design=brought).exists()


def test_a_closed_run_here_confirms_it_and_an_open_one_does_not(taught, brought, operator):
    other = make_sheet_key(design=brought)
    run = closed_run(operator, other, melts=[224])
    shown = process_sheet(brought, other.polymer, other.machine)
    (foreign,) = foreign_sheets(shown)
    assert (foreign.tried, [pair.machine for pair in foreign.pairs]) == (1, [other.machine])
    assert foreign.settings[0].here.median == 224.0
    run.closed_at = None
    run.save()
    (foreign,) = foreign_sheets(process_sheet(brought))
    assert (foreign.tried, foreign.settings[0].here) == (0, None)


def test_another_polymer_or_kind_of_machine_confirms_nothing(brought, operator):
    other = make_sheet_key(design=brought, symbol="PE-HD")
    closed_run(operator, other, melts=[205])
    (foreign,) = foreign_sheets(process_sheet(brought, other.polymer, other.machine))
    assert (foreign.tried, foreign.settings[0].here) == (0, None)


def test_once_tried_only_what_was_learned_here_is_told(brought, operator):
    closed_run(operator, make_sheet_key(design=brought), melts=[224])
    (sheet,) = told_sheets(brought)
    assert (sheet["is_second_hand"], sheet["runs"]) == (False, 1)
    assert sheet["settings"][0]["value"] == "224"


def test_what_fumes_by_the_ceiling_of_here_is_marked(brought, lead):
    (foreign,) = foreign_sheets(process_sheet(brought))
    assert not any(each.is_above_fume for each in foreign.settings)
    ends, act = {"typical": Decimal(225)}, make_act(lead, "smelt")
    set_own_figure(polymer=foreign.sheet.polymer, name="fume-above", ends=ends, act=act)
    (foreign,) = foreign_sheets(process_sheet(brought))
    assert [each.is_above_fume for each in foreign.settings] == [True, False, False]


def test_it_asks_as_often_whatever_was_run_and_brought(
    taught, brought, operator, django_assert_num_queries
):
    with django_assert_num_queries(12) as first:
        told_sheets(taught.design)
    other = SheetKey(taught.design, taught.polymer, MachineFactory(kind="injection"))
    closed_run(operator, other)
    with django_assert_num_queries(len(first)):
        told_sheets(taught.design)
    shown = process_sheet(brought)
    with django_assert_num_queries(3):
        foreign_sheets(shown)
