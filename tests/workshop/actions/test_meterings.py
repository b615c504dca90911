"""A meter is read at the start and the end of a run."""

from decimal import Decimal

import pytest

from inventory.models import Change
from tests.factories.book import refused, sentence
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.making import act_at, make_old_run
from tests.factories.workshop import load, weigh_out
from workshop.actions.meterings import note_meter
from workshop.actions.runs import abandon_run, close_run
from workshop.models import Metering
from workshop.queries.meterings import metered_by_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def note(run, what, kwh, act=None):
    return note_meter(run=run, what=what, kwh=Decimal(str(kwh)), act=act or make_act(run.operator))


def used(run):
    return metered_by_run([run.pk]).get(run.pk)


def test_what_was_used_is_end_less_start(run):
    note(run, "start", "1042.3")
    assert used(run) is None
    row = note(run, "end", "1045.05")
    assert used(run) == Decimal("2.75")
    assert Change.objects.filter(verb="note meter", row=row.pk, subject=run.code).exists()


def test_one_figure_is_enough(run):
    note(run, "used", "2.5")
    assert used(run) == Decimal("2.5")


def test_a_slip_is_mended_by_noting_it_again(run):
    note(run, "start", 100)
    note(run, "end", 900)
    note(run, "end", 109)
    assert (used(run), Metering.objects.count()) == (9, 3)


def test_it_may_be_noted_after_the_run_was_closed(run, operator):
    _bin, lot = make_full_bin(operator)
    load(run, lot, operator, KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    assert close_run(run=run, act=make_act(operator)).closed_at
    note(run, "used", 1)
    assert used(run) == 1


def test_refuses_an_end_below_the_start(run):
    note(run, "start", "100.500")
    with refused("meter-below") as no:
        note(run, "end", "100.499")
    assert "100.5 kWh" in sentence(no)


def test_an_end_at_the_start_is_no_energy(run):
    note(run, "start", 100)
    note(run, "end", 100)
    assert used(run) == 0


def test_refuses_an_end_without_a_start(run):
    with refused("no-start"):
        note(run, "end", 100)


@pytest.mark.parametrize(("what", "kwh"), [("used", "-0.001"), ("used", 100_001), ("start", 10**9)])
def test_refuses_what_no_meter_shows(run, what, kwh):
    with refused("absurd"):
        note(run, what, kwh)


def test_refuses_a_time_before_the_run(run, operator):
    with refused("too-early"):
        note(run, "used", 1, act_at(operator, -400))


def test_refuses_a_run_that_was_abandoned(run, operator):
    abandon_run(run=run, act=make_act(operator, "no power"))
    with refused("run-abandoned"):
        note(run, "used", 1)


def test_a_repeat_notes_nothing_more(run, operator):
    act = make_act(operator)
    assert note(run, "used", 1, act) == note(run, "used", 1, act)
    with refused("key-reused"):
        note(run, "used", 2, act)
    assert Metering.objects.count() == 1
