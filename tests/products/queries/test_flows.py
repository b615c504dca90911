"""Parts in use in a period, held against asking each handover by itself."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection

from inventory.actions.postings import Line, post
from inventory.calculations.periods import Period, month_of, year_of
from inventory.models import Mass
from inventory.queries.flows import moment_of
from products.actions.parts import hand_over_part, take_back_part
from products.models import Part
from products.queries.flows import HELD, OUT_THEN, Handed, in_use_of
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import DesignFactory, MachineFactory
from workshop.actions.charges import Portion, load_run
from workshop.actions.runs import RunPlan, close_run, open_run
from workshop.actions.yields import Outcome, yield_from_run

pytestmark = pytest.mark.django_db


def at(month: int, day: int) -> datetime:
    return datetime(2026, month, day, 10, tzinfo=UTC)


@pytest.fixture
def parts(lead):
    """Two parts of 2 kg and 3 kg; the first out from February to April, the second from March on."""
    _bin, lot = make_full_bin(lead, act=make_act(lead, happened_at=at(1, 5)))
    first, second = (make_part_at(lead, lot, kg, at(1, 10)) for kg in (2, 3))
    hand_over_part(part=first, act=make_act(lead, happened_at=at(2, 3)))
    hand_over_part(part=second, act=make_act(lead, happened_at=at(3, 3)))
    take_back_part(part=first, act=make_act(lead, happened_at=at(4, 3)))
    return first, second


def make_part_at(by, lot, kg: int, moment):
    """A part made at a moment."""
    machine = MachineFactory()
    plan = RunPlan(operation="press", machine=machine, design=DesignFactory())
    run = open_run(plan=plan, act=make_act(by, happened_at=moment))
    mass = Mass(kg * KG)
    load_run(run=run, portion=Portion(lot, mass, None), act=make_act(by, happened_at=moment))
    outcome, act = Outcome("part", mass, 1, None), make_act(by, happened_at=moment)
    yield_from_run(run=run, outcome=outcome, act=act, is_confirmed=True)
    close_run(run=run, act=make_act(by, happened_at=moment))
    return Part.objects.latest("pk")


def sums(period: Period) -> dict:
    return {name: (each.mass_mg // KG, each.parts) for name, each in in_use_of(period).sums.items()}


NONE = (0, 0)


@pytest.mark.parametrize(
    ("month", "opening", "out", "back", "closing"),
    [
        (1, NONE, NONE, NONE, NONE),
        (2, NONE, (2, 1), NONE, (2, 1)),
        (3, (2, 1), (3, 1), NONE, (5, 2)),
        (4, (5, 2), NONE, (2, 1), (3, 1)),
        (5, (3, 1), NONE, NONE, (3, 1)),
    ],
)
def test_each_month_says_what_was_out_went_out_and_came_back(  # noqa: PLR0913
    parts, month, opening, out, back, closing
):
    found = sums(month_of(date(2026, month, 1)))
    assert found == {"opening": opening, "out": out, "back": back, "closing": closing}
    assert in_use_of(month_of(date(2026, month, 1))).changed_mg == 0


def test_a_year_says_it_month_by_month(parts):
    steps = in_use_of(year_of(date(2026, 1, 1))).by_step(12)
    assert [(out.parts, back.parts) for out, back in steps[:5]] == [
        (0, 0),
        (1, 0),
        (1, 0),
        (0, 1),
        (0, 0),
    ]


def test_what_a_part_lost_while_it_was_out_is_told_apart(parts, lead):
    lot = parts[1].lot
    lot.refresh_from_db()
    act = make_act(lead, "broke off", happened_at=at(5, 3))
    post(
        act=act,
        kind="dispose",
        lines=[Line(lot, None, Mass(KG), "disposed")],
        request={},
        reference="",
    )
    assert in_use_of(month_of(date(2026, 5, 1))).changed_mg == -KG


def test_a_corrected_part_was_handed_over_with_its_corrected_mass(parts, lead):
    mend(lead, make_fix(parts[1].made_in, 2.5), loss="typed wrong")
    found = in_use_of(month_of(date(2026, 3, 1)))
    assert found.sums["out"] == Handed(2_500_000, 1)
    assert found.changed_mg == 0


def test_one_material_leaves_the_others_out(parts):
    found = in_use_of(year_of(date(2026, 1, 1)))
    (material,) = {key[1] for key in found.out}
    assert found.of(material).sums == found.of(None).sums
    assert found.of((None, 1)).sums["out"] == Handed()


def test_it_asks_four_times(parts, django_assert_num_queries):
    with django_assert_num_queries(4):
        in_use_of(year_of(date(2026, 1, 1)))


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_the_transfers_of_a_part_come_off_its_lot(parts):
    statement = HELD.format(step="0", which=OUT_THEN, until="< %s")
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {statement}", [moment_of(date(2026, 3, 1))] * 3)
        plan = [str(row[-1]) for row in cursor.fetchall()]
    assert [step for step in plan if step.startswith("SCAN")] == ["SCAN h"]
    assert any("transfer_back" in step for step in plan)
    assert any("transfer_forward" in step for step in plan)


def test_days_before_anything_have_nothing_in_use():
    day = date(2020, 1, 1)
    assert sums(Period(day, day + timedelta(days=1))) == dict.fromkeys(
        ("opening", "out", "back", "closing"), NONE
    )
