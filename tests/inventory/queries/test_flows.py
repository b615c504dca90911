"""Mass flows off the ledger, held against a naive replay of every transfer."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.utils import timezone
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from inventory.actions.lots import dispose_lot, identify_lot, move_lot, write_off_lot
from inventory.actions.postings import reverse_posting
from inventory.calculations.flows import carried_on
from inventory.calculations.periods import Period, month_of, year_of
from inventory.models import Mass, Posting
from inventory.queries import flows
from inventory.queries.flows import flow_of, moves_statement
from tests.factories.book import tamper
from tests.factories.flows import held_at, made_between, through_the_door
from tests.factories.inventory import (
    KG,
    BinFactory,
    colour,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import load, make_part, make_run, weigh_out
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db
FIRST = date(2026, 1, 1)
DAYS = 120


def at(day: int, hour: int = 10) -> datetime:
    """A moment of the story, as UTC."""
    return datetime(2026, 1, 1, hour, tzinfo=UTC) + timedelta(days=day)


def deal(by, days):
    """Some of everything, one thing a day: in, moved, mixed, thrown away, counted off, undone."""
    for number, day in enumerate(days):
        act = make_act(by, happened_at=at(day))
        lot = make_delivery(by, act=act, colour=["blue", "red"][number % 2]).lot
        moved = Mass(4 * KG + number)
        bin = BinFactory(colour=colour("mixed"))
        move_lot(lot=lot, bin=bin, mass=moved, act=make_act(by, happened_at=at(day, 11)))
        late = make_act(by, "wet", happened_at=at(day, 12))
        if number % 3 == 1:
            write_off_lot(lot=lot, act=late)
            continue
        thrown = dispose_lot(lot=lot, mass=Mass(KG + 7), act=late)
        if number % 3 == 2:
            undone = make_act(by, "was dry", happened_at=at(day + 40))
            reverse_posting(posting=thrown, act=undone)


def agrees(period: Period) -> None:
    """Compare a flow with the replay: opening, door, closing, and what the machines made."""
    flow = flow_of(period)
    assert flow.off_mg == 0
    assert flow.opening == held_at(period.start)
    assert carried_on(flow.opening, flow.moves) == held_at(period.end)
    ins, outs = through_the_door(period.start, period.end)
    assert (flow.whole().ins, flow.whole().outs) == (dict(ins), dict(outs))
    assert flow.whole().closing_mg == sum(held_at(period.end).values())
    for role in ("part", "offcut", "dust", "purging"):
        assert flow.inside().get(role, 0) == made_between(period.start, period.end, role)
    for part in flow.by_step():
        assert part.opening == held_at(part.period.start)


@settings(
    max_examples=8,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    database=None,
)
@given(
    days=st.lists(st.integers(0, DAYS), min_size=1, max_size=6),
    start=st.integers(-10, DAYS),
    length=st.integers(1, DAYS),
)
def test_any_history_ties_to_the_replay_of_its_transfers(lead, days, start, length):
    begun = FIRST + timedelta(days=start)
    deal(lead, days)
    agrees(Period(begun, begun + timedelta(days=length)))


def test_a_run_with_everything_ties(operator):
    _bin, lot = make_full_bin(operator)
    offcuts, dust = BinFactory(), BinFactory()
    run = make_run(operator)
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=2)
    weigh_out(run, operator, "offcut", KG // 2, bin=offcuts)
    weigh_out(run, operator, "dust", KG // 4, bin=dust)
    close_run(run=run, act=make_act(operator, "stuck to the tool"))
    today = flow_of(month_of(Posting.objects.latest("pk").happened_at.date()))
    assert today.inside() == {
        "loaded": 5 * KG,
        "part": 4 * KG,
        "offcut": KG // 2,
        "dust": KG // 4,
    }
    assert today.by_place()["machine"].outs["loss"] == KG // 4
    agrees(month_of(Posting.objects.latest("pk").happened_at.date()))


def test_what_was_reversed_is_in_no_month(lead):
    lot = make_delivery(lead, act=make_act(lead, happened_at=at(5))).lot
    posting = dispose_lot(lot=lot, act=make_act(lead, "wet", happened_at=at(40)))
    reverse_posting(posting=posting, act=make_act(lead, "was dry", happened_at=at(70)))
    for month in (1, 2, 3):
        found = flow_of(month_of(date(2026, month, 1))).whole()
        assert found.outs == {}
        assert found.closing_mg == 10 * KG


def test_a_corrected_posting_counts_as_its_replacement_at_its_own_time(lead):
    lot = make_delivery(lead, act=make_act(lead, happened_at=at(5))).lot
    thrown = dispose_lot(lot=lot, mass=grams(500), act=make_act(lead, "wet", happened_at=at(40)))
    mend(lead, make_fix(thrown, 2.25))
    february = month_of(date(2026, 2, 1))
    assert flow_of(february).whole().outs == {"disposed": 2_250_000}
    assert flow_of(month_of(timezone.localdate())).moves == []
    agrees(february)


def test_months_begin_at_midnight_in_the_workshop(lead, settings):
    settings.TIME_ZONE = "Europe/Berlin"
    late = datetime(2026, 1, 31, 23, 30, tzinfo=UTC)  # half past midnight of 1 February there
    make_delivery(lead, act=make_act(lead, happened_at=late))
    assert flow_of(month_of(date(2026, 1, 1))).whole().in_mg == 0
    assert flow_of(month_of(date(2026, 2, 1))).whole().in_mg == 10 * KG


def test_identifying_moves_nothing_between_materials(lead):
    lot = make_delivery(
        lead, act=make_act(lead, happened_at=at(5)), polymer=None, identified_by="unknown"
    ).lot
    before = flow_of(year_of(FIRST))
    assert [key[0] for key in before.by_material()] == [None]
    identify_lot(
        lot=lot, polymer=polymer("PP"), identified_by="float-sink", act=make_act(lead, "floated")
    )
    after = flow_of(year_of(FIRST))
    assert [key[0] for key in after.by_material()] == [polymer("PP").pk]
    assert after.whole() == before.whole()


def test_one_material_has_the_others_outside(operator):
    bin = BinFactory(colour=colour("mixed"))
    for name in ("blue", "red"):
        lot = make_delivery(operator, colour=name).lot
        move_lot(lot=lot, bin=bin, act=make_act(operator))
    today = Posting.objects.latest("pk").happened_at.date()
    blue = (polymer("PE-HD").pk, colour("blue").pk)
    found = flow_of(month_of(today)).of(blue)
    assert (found.whole().ins, found.whole().outs) == ({"received": 10 * KG}, {"mixed": 10 * KG})
    assert found.by_place()["stock"].closing_mg == 0


@pytest.mark.parametrize("most", [0, 10**9])
def test_both_sides_of_the_book_say_the_same(lead, monkeypatch, most):
    deal(lead, [3, 30, 31, 60, 90])
    monkeypatch.setattr(flows, "MOST_POSTINGS", most)
    for month in range(1, 7):
        first = date(2026, month, 1)
        found = flow_of(month_of(first))
        assert found.opening == held_at(first)
        assert (found.off_mg is None) is (most == 0)


def test_a_book_that_does_not_tie_is_told(lead):
    make_delivery(lead, act=make_act(lead, happened_at=at(5)))
    tamper("UPDATE inventory_lot SET in_mg = in_mg + 3")
    assert flow_of(year_of(FIRST)).off_mg == 3


def test_an_empty_book_has_an_empty_flow():
    found = flow_of(year_of(FIRST))
    assert (found.opening, found.moves, found.whole().is_empty) == ({}, [], True)


def test_it_asks_a_fixed_number_of_times(operator, django_assert_num_queries):
    _bin, lot = make_full_bin(operator)
    make_part(operator, lot, 2 * KG)
    today = Posting.objects.latest("pk").happened_at.date()
    with django_assert_num_queries(6):
        flow_of(year_of(today))


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_a_month_comes_off_the_index_of_its_time(operator):
    for _number in range(30):
        make_delivery(operator)
    month = month_of(FIRST)
    statement, arguments = moves_statement(month.start, month.end, month.steps)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
        cursor.execute(f"EXPLAIN QUERY PLAN {statement}", arguments)
        plan = "\n".join(str(row[-1]) for row in cursor.fetchall())
    assert "SEARCH p USING INDEX posting_happened" in plan
    assert "SEARCH t USING INDEX inventory_transfer_posting_id" in plan
    assert "SCAN" not in plan
