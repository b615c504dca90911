"""Which rate holds on a day, and what a run costs by."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from workshop.calculations.rates import (
    RATES,
    USUAL_LOAD_PERCENT,
    Rates,
    SetRate,
    fault_of,
    holding,
    rates_of,
)
from workshop.models import Machine

DAY = date(2026, 3, 2)
PRESS = (7, "press")


def rate(name, amount, thing=None, since=DAY, key=1, currency="EUR"):
    return SetRate(name, thing, amount and Decimal(amount), currency, since, key)


def held(*rows):
    return holding(rows, DAY)


def test_every_kind_of_machine_has_a_usual_share_of_load():
    assert set(USUAL_LOAD_PERCENT) == set(Machine.Kind.values)
    assert all(fault_of("load", Decimal(each)) == "" for each in USUAL_LOAD_PERCENT.values())


def test_of_two_rates_of_one_day_the_one_set_last_holds():
    rows = [rate("labour", "20", key=2), rate("labour", "18", key=1)]
    assert held(*rows)["labour", None].amount == 20


def test_a_rate_holds_from_its_day_and_not_before():
    assert held(rate("labour", "20", since=date(2026, 3, 3))) == {}


def test_a_later_day_that_was_set_earlier_is_not_overtaken():
    rows = [rate("labour", "21", since=date(2026, 3, 1), key=1)]
    rows += [rate("labour", "18", since=date(2026, 1, 1), key=2)]
    assert held(*rows)["labour", None].amount == 21


def test_money_in_another_currency_is_not_known():
    found = rates_of(held(rate("labour", "20", currency="HRK")), "EUR", machine=PRESS, tooling=None)
    assert found.labour_per_h is None


def test_zero_is_a_rate_and_nothing_is_none():
    found = rates_of(held(rate("labour", "0")), "EUR", machine=PRESS, tooling=None)
    assert (found.labour_per_h, found.per_kwh) == (0, None)


def test_what_a_machine_draws_is_rated_power_times_load():
    """Hand-worked: 2200 W x 35 % = 0.77 kW, exactly."""
    rows = [rate("power", "2200", 7), rate("load", "35", 7), rate("power", "9000", 8)]
    found = rates_of(held(*rows), "EUR", machine=PRESS, tooling=None)
    assert (found.drawn_kw, found.is_usual_load) == (Fraction(77, 100), False)


def test_without_a_share_of_load_the_usual_one_is_taken_and_marked():
    found = rates_of(held(rate("power", "2000", 7)), "EUR", machine=PRESS, tooling=None)
    assert (found.drawn_kw, found.is_usual_load) == (1, True)


def test_a_cycle_uses_up_its_share_of_the_tooling():
    """Hand-worked: straight-line by units of output, 900 over 7000 cycles = 9/70 a cycle."""
    rows = [rate("tooling-price", "900", 3), rate("tooling-cycles", "7000", 3)]
    found = rates_of(held(*rows), "EUR", machine=PRESS, tooling=3)
    assert found.tooling_per_cycle == Fraction(9, 70)


def test_without_a_price_or_a_life_there_is_no_share():
    assert Rates("EUR", tooling_price=Fraction(900)).tooling_per_cycle is None
    assert Rates("EUR", tooling_cycles=Fraction(900)).tooling_per_cycle is None


@pytest.mark.parametrize("name", RATES)
def test_ends_of_each_range_are_in_it_and_what_is_beyond_is_not(name):
    rule = RATES[name]
    assert (fault_of(name, rule.least), fault_of(name, rule.most)) == ("", "")
    assert fault_of(name, rule.least - 1) == fault_of(name, rule.most + 1) == "absurd"
