"""What has to be changed over before a planned run, and how anybody knows how long that takes."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Colour
from tests.factories.inventory import KG, make_act, make_full_bin, polymer
from tests.factories.plans import make_question, start
from tests.factories.workshop import MachineFactory, ToolingFactory, load, make_run, weigh_out
from workshop.actions.machines import log_purge
from workshop.actions.pauses import pause_run, resume_run
from workshop.actions.runs import close_run
from workshop.models import Machine
from workshop.queries.changeovers import Change, change_said
from workshop.queries.plans import plan_for, work_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return MachineFactory(name="Press A")


def changes(machine, **more):
    question = make_question(machine=Machine.objects.get(pk=machine.pk), **more)
    return [(each.code, each.before, each.seconds) for each in plan_for(question).changes]


def worked(by, machine, lot, tooling=None, cleaned_s=0):
    run = make_run(by, machine=machine, tooling=tooling)
    if cleaned_s:
        begin = timezone.now() - timedelta(seconds=cleaned_s + 5)
        end = begin + timedelta(seconds=cleaned_s)
        run.opened_at = begin - timedelta(seconds=5)
        run.save()
        pause_run(run=run, reason="cleaning", act=make_act(by, happened_at=begin))
        resume_run(run=run, act=make_act(by, happened_at=end))
    load(run, lot, by, KG)
    weigh_out(run, by, "part", KG, pieces=1)
    return close_run(run=run, act=make_act(by))


def test_a_machine_that_worked_with_the_same_is_not_changed_over(operator, press):
    _bin, lot = make_full_bin(operator)
    frame = ToolingFactory(kind="frame", changeover_minutes=20)
    worked(operator, press, lot, frame)
    assert changes(press, tooling=frame, colour=lot.colour) == []


def test_other_tooling_takes_the_minutes_of_the_register(operator, press):
    _bin, lot = make_full_bin(operator)
    old = ToolingFactory(name="Frame 6", kind="frame")
    worked(operator, press, lot, old)
    frame = ToolingFactory(name="Frame 10", kind="frame", changeover_minutes=20)
    assert changes(press, tooling=frame) == [("tooling", "Frame 6", 1200)]
    assert changes(press, tooling=ToolingFactory(kind="frame")) == [("tooling", "Frame 6", None)]


def test_only_the_newest_run_on_that_machine_counts(operator, press):
    _bin, lot = make_full_bin(operator)
    frame = ToolingFactory(kind="frame", changeover_minutes=20)
    worked(operator, press, lot, frame)
    worked(operator, press, lot, ToolingFactory(name="Frame 6", kind="frame"))
    worked(operator, MachineFactory(), lot, frame)
    assert changes(press, tooling=frame) == [("tooling", "Frame 6", 1200)]


def test_another_polymer_is_a_change_until_the_machine_was_purged(operator, press):
    make_full_bin(operator)
    _bin, lot = make_full_bin(operator, polymer="PP")
    worked(operator, press, lot)
    assert changes(press) == [("polymer", "PP", None)]
    assert changes(press, polymer=polymer("PP")) == []
    log_purge(machine=press, act=make_act(operator, "wiped"))
    assert changes(press) == []


def test_another_colour_of_the_same_polymer_is_a_change(operator, press):
    _bin, lot = make_full_bin(operator, colour="red")
    worked(operator, press, lot)
    make_full_bin(operator, colour="blue")
    assert changes(press, colour=Colour.objects.get(name="blue")) == [("colour", "red", None)]
    assert changes(press, colour=lot.colour) == []


def test_a_material_takes_the_median_pause_for_cleaning_of_three_runs(operator, press):
    """Hand-worked: pauses of 60, 100 and 600 s have the median 100 s; two runs tell nothing."""
    make_full_bin(operator)
    _bin, lot = make_full_bin(operator, polymer="PP")
    for seconds in (60, 600):
        worked(operator, press, lot, cleaned_s=seconds)
    assert changes(press) == [("polymer", "PP", None)]
    worked(operator, press, lot, cleaned_s=100)
    assert changes(press) == [("polymer", "PP", 100)]


def test_only_a_change_of_tooling_is_paid_for(operator, press):
    make_full_bin(operator)
    _bin, lot = make_full_bin(operator, polymer="PP")
    for seconds in (60, 100, 600):
        worked(operator, press, lot, cleaned_s=seconds)
    frame = ToolingFactory(kind="frame", changeover_minutes=20)
    question = make_question(machine=Machine.objects.get(pk=press.pk), tooling=frame)
    planned = plan_for(question)
    assert planned.changeover_s == 1200 + 100
    assert planned.content()["changes"][1]["basis"] == "paused"
    work = work_of(question, planned.charge, None, (), {}, planned.changes)
    assert work.changeover_ms == 1_200_000


def test_a_started_run_keeps_what_was_to_be_changed(operator, press):
    make_full_bin(operator)
    frame = ToolingFactory(name="Frame 10", kind="frame", changeover_minutes=20)
    plan = start(operator, make_question(machine=press, tooling=frame))
    (change,) = plan.content["changes"]
    assert (change["code"], change["planned"], change["seconds"]) == ("tooling", "Frame 10", 1200)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            Change("tooling", "A", "B", 1200, "register"),
            "Change of tooling: A comes off, B goes on. 20 min, as the register says.",
        ),
        (
            Change("tooling", "", "B"),
            "Tooling to put on: B. The register does not say how long that takes, so it counts as nothing.",
        ),
        (
            Change("polymer", "PP", "PE-HD", 360, "paused", 4),
            "Change of polymer: it last worked PP, now PE-HD. "
            "6 min, the median pause for cleaning of 4 runs on it.",
        ),
        (
            Change("colour", "red", "blue"),
            "Change of colour: it last worked red, now blue. "
            "How long that takes is not known until three runs on it have had a pause for cleaning.",
        ),
    ],
)
def test_a_change_is_said_with_where_its_minutes_come_from(change, said):
    assert change_said(change) == said


def test_planning_asks_three_times_more_for_changes(operator, press, django_assert_num_queries):
    make_full_bin(operator)
    _bin, lot = make_full_bin(operator, polymer="PP")
    for _number in range(3):
        worked(operator, press, lot, cleaned_s=60)
    machine = Machine.objects.select_related("last_polymer").get(pk=press.pk)
    question = make_question(machine=machine, tooling=ToolingFactory(kind="frame"))
    with django_assert_num_queries(15):
        plan_for(question)
