"""Runs of a design over time."""

from datetime import date
from fractions import Fraction

import pytest

from inventory.calculations.periods import Period, twelve_months_to
from tests.factories.costs import put_price, put_rate, set_euro
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out
from workshop.actions.runs import abandon_run, close_run
from workshop.models import Run
from workshop.queries.cost_trends import cost_trend, designs_with_runs

pytestmark = pytest.mark.django_db


@pytest.fixture
def design(lead):
    set_euro(lead)
    put_rate(lead, "labour", 18)
    return DesignFactory(name="Plate")


def press(by, design, lot):
    """One kilogram: three quarters become two parts, the rest is offcut."""
    run = make_run(by, design=design)
    load(run, lot, by, KG)
    weigh_out(run, by, "part", 750_000, pieces=2)
    weigh_out(run, by, "offcut", 250_000, bin=BinFactory())
    close_run(run=run, act=make_act(by))
    return Run.objects.get(pk=run.pk)


def priced(by, per_kg="0.4"):
    _bin, lot = make_full_bin(by)
    put_price(by, lot, per_kg)
    return lot


def this_year():
    return twelve_months_to(date.today())  # noqa: DTZ011 (the workshop's own day)


def test_figures_of_a_month_are_those_of_its_runs(lead, design):
    lot = priced(lead)
    for _ in range(2):
        press(lead, design, lot)
    found = cost_trend(design, this_year())
    (_step, offcut), (_same, cost) = found.rows["offcut"][0], found.rows["cost"][0]
    assert (found.runs, found.currency, offcut.runs) == (2, "EUR", 2)
    assert (offcut.spread.median, offcut.spread.low) == (Fraction(1, 4), None)
    assert cost.spread.median >= Fraction(15, 100)  # 750 g at 0.40, over two pieces
    assert found.rows["kwh"] == []


def test_runs_of_other_designs_and_days_and_abandoned_ones_do_not_count(lead, design):
    lot = priced(lead)
    press(lead, design, lot)
    press(lead, DesignFactory(), lot)
    abandon_run(run=make_run(lead, design=design), act=make_act(lead, "no power"))
    assert cost_trend(design, this_year()).runs == 1
    assert cost_trend(design, Period(date(2001, 1, 1), date(2002, 1, 1))).runs == 0


def test_runs_in_another_currency_are_left_out(lead, design):
    lot = priced(lead)
    old = press(lead, design, lot)
    press(lead, design, lot)
    Run.objects.filter(pk=old.pk).update(opened_at="2019-06-01T10:00:00Z")
    set_euro(lead, date(2019, 1, 1), "BGN")
    found = cost_trend(design, this_year())
    assert (found.runs, found.currency, found.other_currency) == (1, "EUR", 1)


def test_any_number_of_runs_takes_as_many_queries(lead, design, django_assert_num_queries):
    lot = priced(lead)
    press(lead, design, lot)
    with django_assert_num_queries(14):
        cost_trend(design, this_year())
    for _ in range(3):
        press(lead, design, lot)
    with django_assert_num_queries(14):
        found = cost_trend(design, this_year())
    assert found.rows["offcut"][0][1].spread.low == Fraction(1, 4)


def test_designs_are_named_with_their_runs(lead, design):
    press(lead, design, priced(lead))
    assert designs_with_runs(this_year()) == [(design, 1)]
