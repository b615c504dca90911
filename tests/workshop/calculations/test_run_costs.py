"""What a run used and cost, by hand-worked examples and by fractions."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pint import get_application_registry

from inventory.calculations.currencies import money
from inventory.calculations.unit_costs import UNKNOWN, UnitCost
from workshop.calculations.rates import Rates
from workshop.calculations.run_costs import (
    Energy,
    RunFacts,
    Used,
    energy_of,
    metered_kwh,
    run_cost,
)
from workshop.calculations.work_times import HOUR_MS, MINUTE_MS, WorkTime

KG = 1_000_000
RATES = Rates(
    "EUR",
    labour_per_h=Fraction(18),
    per_kwh=Fraction("0.32"),
    power_w=Fraction(4000),
    load_share=Fraction(1, 2),
    machine_per_h=Fraction(5),
    tooling_price=Fraction(900),
    tooling_cycles=Fraction(9000),
)
UREG = get_application_registry()


def cost(rates=RATES, **changes):
    time = WorkTime(90 * MINUTE_MS, "taps", changeover_ms=30 * MINUTE_MS)
    facts = {
        "time": time,
        "energy": Energy(Fraction(3), "meter"),
        "used": (Used(4 * KG, UnitCost(Fraction("0.5"), Fraction(1))),),
        "cycles": 8,
        "pieces": 8,
        "good_mg": 3 * KG,
    }
    return run_cost(RunFacts(**facts | changes), rates)


def test_a_run_worked_by_hand():
    """Hand-worked: 4 kg x 0.50, 3 kWh x 0.32, 2 h x 18, 8 cycles x 900/9000, 1.5 h x 5 = 47.26 EUR."""
    found = cost()
    amounts = {line.kind: money(line.amount, "EUR") for line in found.lines}
    assert amounts == {
        "material": Decimal("2.00"),
        "energy": Decimal("0.96"),
        "labour": Decimal("36.00"),
        "tooling": Decimal("0.80"),
        "machine": Decimal("7.50"),
    }
    assert (found.total, found.is_least) == (Fraction("47.26"), False)
    assert (found.per_piece * 8, found.per_kg * 3) == (found.total, found.total)


def test_an_unknown_price_is_told_and_never_taken_as_nothing():
    """Hand-worked: of 4 kg a quarter has no price; the rest cost 3 kg x 2."""
    found = cost(used=(Used(3 * KG, UnitCost(Fraction(2), Fraction(1))), Used(KG, UNKNOWN)))
    assert (found.lines[0].amount, found.lines[0].is_least) == (6, True)
    assert (found.known_share, found.is_least) == (Fraction(3, 4), True)


def test_where_no_price_is_known_there_is_no_amount():
    found = cost(used=(Used(KG, UNKNOWN),))
    assert (found.unknown, found.is_least) == (("material",), True)


def test_material_that_cost_nothing_is_known():
    found = cost(used=(Used(KG, UnitCost(Fraction(0), Fraction(1))),))
    assert (found.lines[0].amount, found.is_least) == (0, False)


def test_without_rates_every_kind_is_unknown_but_the_machine_which_is_left_out():
    found = cost(Rates("EUR"), used=(Used(KG, UNKNOWN),), energy=Energy(None))
    assert found.unknown == ("material", "energy", "labour", "tooling")
    assert not found.is_known


def test_without_tooling_there_is_no_share_of_it():
    assert "tooling" not in [line.kind for line in cost(cycles=None).lines]


def test_without_pieces_or_good_mass_there_is_nothing_to_share_it_over():
    found = cost(pieces=0, good_mg=0)
    assert (found.per_piece, found.per_kg) == (None, None)


def test_a_meter_counts_before_the_rating():
    time = WorkTime(HOUR_MS, "opened")
    assert energy_of(Decimal("1.5"), time, RATES) == Energy(Fraction(3, 2), "meter")
    assert energy_of(None, time, RATES) == Energy(Fraction(2), "rated")
    assert energy_of(None, time, Rates("EUR")).kwh is None


@given(st.integers(1, 10**6), st.integers(1, 100), st.integers(0, 10**8))
def test_the_estimate_is_that_of_a_library_of_units(power_w, load, worked_ms):
    """Against pint: power times time, in kWh."""
    rates = Rates("EUR", power_w=Fraction(power_w), load_share=Fraction(load, 100))
    found = energy_of(None, WorkTime(worked_ms, "taps"), rates).kwh
    told = (power_w * UREG.watt * load / 100 * worked_ms * UREG.millisecond).to("kWh").magnitude
    assert float(found) == pytest.approx(told, rel=1e-9)


@pytest.mark.parametrize(
    ("rows", "kwh"),
    [
        ([], None),
        ([("start", 10)], None),
        ([("start", 10), ("end", 12)], 2),
        ([("start", 10), ("end", 12), ("end", 15)], 5),
        ([("used", 3)], 3),
        ([("used", 3), ("start", 10)], None),
        ([("start", 10), ("end", 12), ("used", 3)], 3),
        ([("start", 10), ("used", 3), ("end", 12)], 2),
    ],
)
def test_what_was_noted_last_counts(rows, kwh):
    assert metered_kwh([(what, Decimal(each)) for what, each in rows]) == kwh


@given(st.lists(st.tuples(st.integers(0, 10**9), st.fractions(0, 9)), min_size=1, max_size=5))
def test_the_parts_of_a_sum_sum_up_exactly(rows):
    used = tuple(Used(mg, UnitCost(price, Fraction(1))) for mg, price in rows)
    found = cost(used=used)
    assert sum(line.amount for line in found.lines) == found.total
    assert found.lines[0].amount == sum(mg * price for mg, price in rows) / KG
