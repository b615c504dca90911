"""The tolerance of a balance against worked figures, and a library of uncertainties."""

from math import sqrt

import pytest
from uncertainties import ufloat

from workshop.calculations.tolerances import TOLERANCE, balance_uncertainty_g

ASKED = {each.name: each.default for each in TOLERANCE.inputs}


def test_five_net_weighings_on_a_step_of_ten_grams():
    """Worked by hand: u = 9.13 g, U = 18.3 g; a gap of 250 g is 13.7 U."""
    found = TOLERANCE.answer(ASKED)
    assert found.values["standard_g"] == pytest.approx(9.13, abs=5e-3)
    assert found.values["tolerance_g"] == pytest.approx(18.3, abs=0.05)
    assert found.values["gap_g"] == pytest.approx(250)
    assert found.values["times"] == pytest.approx(13.7, abs=0.05)
    assert [note.code for note in found.notes] == ["loss"]


def test_the_sum_is_that_of_a_library():
    reading = [ufloat(0, 10 / 2 / sqrt(3)) for _ in range(8)]
    net = reading[0] - reading[1] + reading[2] - reading[3] + reading[4] - reading[5]
    balance = net + reading[6] + reading[7]
    found = balance_uncertainty_g(step_g=10, nets=3, singles=2)
    assert found == pytest.approx(balance.s)


def test_an_error_of_the_scale_comes_in_every_weighing():
    scale = ufloat(0, 6 / sqrt(3))
    expected = sum(scale for _ in range(4)).s
    found = balance_uncertainty_g(step_g=1e-9, nets=4, singles=0, limit_g=6)
    assert found == pytest.approx(expected)


@pytest.mark.parametrize(
    ("in_kg", "out_kg", "step_g", "singles"),
    [(25, 24.99, 10, 3), (25, 25.01, 10, 3), (1, 0.998, 2, 3), (3, 2.98, 10, 12)],
)
def test_a_gap_of_just_u_closes_at_the_desk_as_in_a_run(in_kg, out_kg, step_g, singles):
    """Three readings of step d have U = 2 sqrt(3) d / (2 sqrt 3) = d exactly (JCGM 100, 4.3.7 and 5.1.2)."""
    asked = {"in_kg": in_kg, "out_kg": out_kg, "step_g": step_g, "singles": singles, "nets": 0}
    assert [note.code for note in TOLERANCE.answer(ASKED | asked).notes] == ["closes"]


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"out_kg": 24.99}, "closes"),
        ({"out_kg": 25.01}, "closes"),
        ({"out_kg": 25.1}, "surplus"),
        ({"out_kg": 24.9}, "loss"),
        ({"nets": 0, "singles": 0}, "nothing-weighed"),
    ],
)
def test_a_gap_is_judged(changes, code):
    assert [note.code for note in TOLERANCE.answer(ASKED | changes).notes] == [code]
