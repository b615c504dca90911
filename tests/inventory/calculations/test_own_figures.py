"""What a figure of the workshop's own can be."""

import pytest

from inventory.calculations.own_figures import (
    RULES,
    completed,
    fault_of,
    lower_ceiling_c,
    may_be_own,
)


def ends(low=None, typical=None, high=None):
    return {"low": low, "typical": typical, "high": high}


def test_a_figure_measured_once_is_its_own_least_and_most():
    assert completed("mould-shrinkage", ends(typical=1.7)) == ends(1.7, 1.7, 1.7)


def test_a_window_has_no_usual_value():
    assert completed("press-platen", ends(180, 190, 200)) == ends(180, None, 200)


@pytest.mark.parametrize(
    ("name", "values", "fault"),
    [
        ("press-platen", ends(180, None, None), "incomplete"),
        ("density", ends(), "incomplete"),
        ("press-platen", ends(200, None, 180), "disordered"),
        ("density", ends(0.95, 0.94, 0.96), "disordered"),
        ("press-platen", ends(20, None, 200), "absurd"),
        ("press-platen", ends(180, None, 451), "absurd"),
        ("density", ends(955, 955, 955), "absurd"),  # kg/m3 typed for g/cm3
        ("fume-above", ends(typical=250.5), "absurd"),
        ("fume-above", ends(typical=250), ""),
        ("press-platen", ends(180, None, 200), ""),
        ("heat-of-fusion", ends(0, 0, 0), ""),  # an amorphous polymer has none
    ],
)
def test_values_that_are_no_figure_are_told(name, values, fault):
    assert fault_of(name, values) == fault


@pytest.mark.parametrize("name", sorted(RULES))
def test_only_density_and_ceiling_of_reject_material_may_be_own(name):
    assert may_be_own(name, is_rejected=True) is (name in {"density", "fume-above"})


def test_what_is_no_figure_is_never_own():
    assert not may_be_own("colour", is_rejected=False)


@pytest.mark.parametrize(
    ("own", "reference", "holds"),
    [(250, 280, 250), (300, 280, 280), (None, 280, 280), (250, None, 250)],
)
def test_the_lower_ceiling_holds(own, reference, holds):
    assert lower_ceiling_c(own, reference) == holds
