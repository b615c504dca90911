"""Which figures are asked back. The limits are the project's own judgement; there is no outside source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from products.calculations.pass_limits import PassLimit
from workshop.calculations.surprises import (
    capacity_surprise,
    is_melted_too_often,
    piece_surprise,
    scale_surprise,
    side_surprise,
    wanted_surprise,
)

masses = st.integers(1, 10**11)


@given(mass=masses)
def test_without_anything_to_expect_nothing_surprises(mass):
    assert capacity_surprise(total_mg=mass, capacity_mg=None) is None
    assert wanted_surprise(mass_mg=mass, loaded_mg=0, wanted_mg=None) is None
    assert piece_surprise(mass_mg=mass, pieces=1, expected_mg=None) is None
    assert side_surprise(mass_mg=mass, expected_mg=None) is None
    assert side_surprise(mass_mg=mass, expected_mg=0) is None
    assert scale_surprise(mass_mg=mass, resolution_mg=None, capacity_mg=None) is None


@given(wanted=st.integers(1000, 10**9), parts=st.integers(1, 100))
def test_what_is_wanted_in_equal_parts_never_surprises(wanted, parts):
    part = -(-wanted // parts)
    assert wanted_surprise(mass_mg=part, loaded_mg=wanted - part, wanted_mg=wanted) is None


@pytest.mark.parametrize(
    ("mass", "is_asked"), [(2_000, False), (2_001, True), (5, False), (4, True)]
)
def test_twice_the_plan_and_half_a_per_cent_of_it_are_the_ends(mass, is_asked):
    assert bool(wanted_surprise(mass_mg=mass, loaded_mg=0, wanted_mg=1_000)) is is_asked


@pytest.mark.parametrize(
    ("mass", "is_asked"), [(7_999, False), (8_000, True), (126, False), (125, True)]
)
def test_offcuts_are_asked_back_from_eight_times_off_on(mass, is_asked):
    assert bool(side_surprise(mass_mg=mass, expected_mg=1_000)) is is_asked


@pytest.mark.parametrize(("mass", "code"), [(9, "step"), (10, None), (60, None), (61, "scale")])
def test_a_scale_shows_from_its_step_to_its_capacity(mass, code):
    found = scale_surprise(mass_mg=mass, resolution_mg=10, capacity_mg=60)
    assert (found and found.code) == code


def test_a_piece_may_weigh_a_fifth_more_or_less():
    assert piece_surprise(mass_mg=2_400, pieces=2, expected_mg=1_000) is None
    assert piece_surprise(mass_mg=1_598, pieces=2, expected_mg=1_000).is_above is False


shares = st.integers(0, 1000)  # per mille


@given(shares, shares, st.integers(0, 99))
def test_only_a_load_above_the_limit_in_a_charge_above_it_is_asked_back(of_load, of_charge, most):
    asked = is_melted_too_often(
        PassLimit(2, most), of_load=of_load / 1000, of_charge=of_charge / 1000
    )
    assert asked == (min(of_load, of_charge) > 10 * most)
