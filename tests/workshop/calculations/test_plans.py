"""Charge, times and differences of a plan."""

import pytest

from workshop.calculations.plans import (
    USUAL_SHARES,
    Comparison,
    Learned,
    Pieces,
    charge_plan,
    learned_times,
)

KG = 1_000_000


def test_a_charge_is_the_mass_of_the_pieces_over_what_becomes_parts():
    # By hand: 10 pieces of 0.5 kg at 80 % parts are 6.25 kg, of which 15 % are offcuts
    learned = Learned(4, 500_000, {"part": 0.8, "offcut": 0.15})
    plan = charge_plan(Pieces(10, 1, 400_000), learned, operation="press")
    assert (plan.charge_mg, plan.cycles, plan.is_learned) == (6_250_000, 10, True)
    assert plan.expected == {"part": 5 * KG, "offcut": 937_500}


@pytest.mark.parametrize("operation", USUAL_SHARES)
def test_without_closed_runs_the_nominal_mass_counts_and_what_is_usual(operation):
    plan = charge_plan(Pieces(10, 1, KG), Learned(), operation=operation)
    usual = sum(USUAL_SHARES[operation].values())
    assert plan.charge_mg == pytest.approx(10 * KG / (1 - usual), abs=1)
    assert not plan.is_learned
    assert sum(plan.expected.values()) == pytest.approx(plan.charge_mg, abs=3)


def test_runs_that_do_not_tell_what_became_parts_count_for_the_piece_only():
    plan = charge_plan(Pieces(1, 1, KG), Learned(3, 2 * KG, {"offcut": 0.5}), operation="press")
    assert (plan.piece_mg, plan.is_learned) == (2 * KG, False)


def test_pieces_are_made_in_whole_cycles():
    plan = charge_plan(Pieces(9, 4, 1000), Learned(3, None, {"part": 1.0}), operation="inject")
    assert (plan.cycles, plan.pieces_made, plan.charge_mg, plan.cycle_mg) == (3, 12, 12_000, 4000)


def test_what_runs_left_over_is_loaded_on_top_and_comes_back():
    # By hand: 10 x 0.5 kg at 80 % parts work 6.25 kg; 8 % of that is left over: 0.5 kg
    learned = Learned(4, 500_000, {"part": 0.8, "offcut": 0.2}, left_share=0.08)
    plan = charge_plan(Pieces(10, 1, 400_000), learned, operation="press")
    assert plan.charge_mg == 6_750_000
    assert plan.expected == {"part": 5 * KG, "offcut": 1_250_000, "leftover": 500_000}
    assert sum(plan.expected.values()) == plan.charge_mg
    assert plan.cycle_mg == 625_000  # what is left over is worked in no cycle


def test_nothing_is_left_over_while_runs_do_not_tell():
    plan = charge_plan(Pieces(1, 1, KG), Learned(3, KG, {}, left_share=0.5), operation="press")
    assert "leftover" not in plan.expected


def test_times_are_medians_of_medians_from_three_runs_on():
    assert learned_times([60.0, 70.0], []) is None
    steps = [{"heat": 30.0, "cool": 90.0}, {"heat": 32.0, "cool": 80.0}, {"heat": 90.0}]
    found = learned_times([60.0, 300.0, 66.0], steps)
    assert (found.runs, found.cycle_s, found.steps) == (3, 66.0, (("heat", 32.0),))


def test_a_difference_needs_both_figures():
    row = Comparison("charge", "Charge", "mg", 4.0, 5.0)
    assert (row.difference, row.difference_share) == (1.0, 0.25)
    assert Comparison("cycle", "", "s", None, 5.0).difference is None
    assert Comparison("bin", "", "mg", 0, 5.0).difference_share is None
