"""A process sheet by what closed runs had: which count, and what stands beside it."""

from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.actions.own_figures import set_own_figure
from products.models import Window
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.making import act_at, make_old_run, tap
from tests.factories.process_sheets import choose, closed_run, drop, make_sheet_key
from tests.factories.workshop import DesignFactory, load, weigh_out
from workshop.actions.machines import log_purge
from workshop.actions.runs import abandon_run, close_run
from workshop.actions.steps import start_step
from workshop.queries.process_sheets import process_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def key(db):
    return make_sheet_key()


def sheet_of(key):
    return process_sheet(key.design, key.polymer, key.machine)


def setting(sheet, name):
    return next(each for each in sheet.settings if each.name == name)


def numbers(sheet):
    return {run.number for run in sheet.runs}


def test_it_learns_from_runs_that_rejected_no_more_than_the_median(key, operator):
    good = [closed_run(operator, key, reject_g=g, melts=[m]) for g, m in ((10, 228), (20, 232))]
    closed_run(operator, key, reject_g=90, melts=[260])
    sheet = sheet_of(key)
    assert (sheet.closed, numbers(sheet)) == (3, {run.number for run in good})
    melt = setting(sheet, "melt").learned
    assert (melt.median, melt.runs, melt.is_few) == (230.0, 2, True)


def test_open_and_abandoned_runs_teach_nothing(key, operator):
    closed_run(operator, key)
    run = closed_run(operator, key, melts=[999 - 599])
    run.closed_at = None
    run.save()
    other = closed_run(operator, key, melts=[250])
    other.closed_at = None
    other.save()
    abandon_run(run=other, act=make_act(operator, "heater failed"))
    sheet = sheet_of(key)
    assert (sheet.closed, setting(sheet, "melt").learned.median) == (1, 230.0)


def test_each_polymer_on_each_machine_has_its_own_sheet(key, operator):
    closed_run(operator, key)
    other = make_sheet_key(design=key.design, machine=key.machine, symbol="PE-HD")
    log_purge(machine=key.machine, act=make_act(operator, "run clear"))
    for _number in range(2):
        closed_run(operator, other, melts=[210])
    assert setting(sheet_of(key), "melt").learned.median == 230.0
    assert setting(sheet_of(other), "melt").learned.median == 210.0
    # nothing named: where most runs worked
    sheet = process_sheet(key.design)
    assert (sheet.polymer.symbol, sheet.closed, len(sheet.pairs)) == ("PE-HD", 2, 2)


def test_the_median_that_counts_is_that_of_the_design_whatever_machine_rejected(key, operator):
    for grams in (0, 0, 0, 10):
        closed_run(operator, key, reject_g=grams)
    other = make_sheet_key(design=key.design)
    closed_run(operator, other, reject_g=50)
    assert (sheet_of(other).closed, sheet_of(other).runs) == (1, [])


def test_readings_above_the_fume_ceiling_never_count(key, operator, lead):
    closed_run(operator, key, melts=[285, 282, 240])  # PP: 280 °C in the reference data
    assert setting(sheet_of(key), "melt").learned.median == 240.0
    act = make_act(lead, "smelt")
    set_own_figure(polymer=key.polymer, name="fume-above", ends={"typical": Decimal(235)}, act=act)
    assert setting(sheet_of(key), "melt").learned is None


def test_what_was_left_over_is_no_part_of_the_charge(key, operator):
    closed_run(operator, key, left_g=500)
    sheet = sheet_of(key)
    assert sheet.charge_mg.median == 100_000  # 1 kg for ten pieces
    assert sheet.shares["part"].median == 0.9
    assert sheet.shares["offcut"].median == 0.1


def test_the_notes_of_the_best_come_first(key, operator):
    closed_run(operator, key, reject_g=20, note="barrel 230, 18 s")
    best = closed_run(operator, key, reject_g=10, note="barrel 224, 20 s")
    closed_run(operator, key)
    closed_run(operator, key, reject_g=10)
    closed_run(operator, key, reject_g=90)
    # By hand: the median of 20, 10, 0, 10 and 90 g is 10 g, so the first did not work
    assert [each.run for each in sheet_of(key).best] == [best]
    other = closed_run(operator, key, note="barrel 226")
    assert [each.run for each in sheet_of(key).best] == [other, best]


def test_windows_stand_beside_with_where_they_come_from(key, lead):
    Window.objects.create(design=key.design, quantity="melt", low=205, high=245)
    found = setting(sheet_of(key), "melt").windows
    assert [(each.window, each.source) for each in found] == [
        ("205 to 245\xa0°C", "this design"),
        ("204 to 260\xa0°C", "published"),
    ]
    ends = {"low": Decimal(210), "high": Decimal(240)}
    act = make_act(lead, "supplier's sheet")
    set_own_figure(polymer=key.polymer, name="inject-melt", ends=ends, act=act)
    beside = setting(sheet_of(key), "melt").windows[1]
    assert beside.window == "210 to 240\xa0°C"
    assert beside.source.startswith("own value since")


def test_what_the_lead_chose_stands_first_until_it_is_dropped(key, lead, operator):
    closed_run(operator, key)
    choose(lead, key, value=226)
    choose(lead, key, name="dwell", value=3, unit="s")
    sheet = sheet_of(key)
    assert [(each.name, each.chosen.value) for each in sheet.chosen] == [
        ("melt", 226),
        ("dwell", 3),
    ]
    assert sheet.chosen[0].learned.median == 230.0
    drop(lead, key)
    assert [each.name for each in sheet_of(key).chosen] == ["dwell"]
    assert "melt" in [each.name for each in sheet_of(key).others]


def test_a_chosen_heat_is_marked_once_the_ceiling_falls_below_it(key, lead):
    choose(lead, key, value=260)
    assert not setting(sheet_of(key), "melt").is_above_fume
    act = make_act(lead, "smelt")
    set_own_figure(polymer=key.polymer, name="fume-above", ends={"typical": Decimal(240)}, act=act)
    assert setting(sheet_of(key), "melt").is_above_fume


def test_usual_times_are_those_of_cycles_and_steps(operator):
    design = DesignFactory(nominal_mass_mg=KG)
    run = make_old_run(operator, design=design)
    load(run, make_full_bin(operator)[1], operator, KG)
    for second in (0, 60, 130):
        tap(run, operator, second)
    start_step(run=run, name="heat", act=act_at(operator, 131))
    start_step(run=run, name="cool", act=act_at(operator, 171))
    weigh_out(run, operator, "part", KG, pieces=1)
    close_run(run=run, act=make_act(operator, happened_at=timezone.now()))
    sheet = process_sheet(design)
    assert setting(sheet, "cycle").learned.median == 65.0
    assert setting(sheet, "step-heat").learned.median == 40.0


def test_a_design_nobody_made_shows_its_windows_and_what_it_could_be_made_on(key):
    sheet = process_sheet(key.design)
    assert (sheet.polymer.symbol, sheet.machine, sheet.runs) == ("PE-HD", key.machine, [])
    assert setting(sheet, "melt").windows
    empty = process_sheet(DesignFactory(made_by="extrude"))
    assert (empty.is_named, empty.settings) == (False, [])


def test_it_asks_as_often_whatever_was_run(key, operator, django_assert_num_queries):
    closed_run(operator, key)
    with django_assert_num_queries(13) as first:
        sheet_of(key)
    for _number in range(3):
        closed_run(operator, key)
    with django_assert_num_queries(len(first)):
        sheet_of(key)
