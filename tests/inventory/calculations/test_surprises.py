"""Which masses look like slips. The limits are the project's own judgement; there is no outside source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.surprises import delivery_surprise, is_other_unit, slip_factor

masses = st.integers(1, 10**11)
several = st.lists(masses, min_size=3, max_size=20)


@pytest.mark.parametrize("factor", [10, 100, 1000])
def test_a_point_or_a_unit_off_is_a_slip_in_either_direction(factor):
    assert slip_factor(1.1 * factor, 1) == factor
    assert slip_factor(1, 0.9 * factor) == factor


@given(expected=masses, percent=st.integers(13, 799))
def test_less_than_eight_times_off_is_no_slip(expected, percent):
    assert slip_factor(expected * percent / 100, expected) == 0


@given(mass=masses, expected=masses)
def test_a_slip_is_the_same_both_ways(mass, expected):
    assert slip_factor(mass, expected) == slip_factor(expected, mass)


@given(net=masses, before=st.lists(masses, max_size=2))
def test_fewer_than_three_deliveries_say_nothing(net, before):
    assert delivery_surprise(net_mg=net, before_mg=before) is None


@given(before=several, at=st.floats(0, 1))
def test_nothing_surprises_between_the_least_and_the_most_before(before, at):
    net = round(min(before) + at * (max(before) - min(before)))
    assert delivery_surprise(net_mg=net, before_mg=before) is None


@pytest.mark.parametrize(
    ("net", "is_asked"), [(200, False), (199, True), (20_000, False), (20_001, True)]
)
def test_a_fifth_of_the_least_and_five_times_the_most_are_the_ends(net, is_asked):
    found = delivery_surprise(net_mg=net, before_mg=[1_000, 2_000, 4_000])
    assert bool(found) is is_asked


@given(usual=st.integers(1_000, 10**8))
def test_kilograms_typed_for_grams_and_the_other_way_look_like_that(usual):
    above = delivery_surprise(net_mg=usual * 1000, before_mg=[usual] * 3)
    below = delivery_surprise(net_mg=usual, before_mg=[usual * 1000] * 3)
    assert (above.factor, above.is_above, below.factor, below.is_above) == (1000, True, 1000, False)


@given(before=several, at=st.floats(0, 1))
def test_what_would_lie_among_those_before_in_the_other_unit_is_told(before, at):
    least, most = min(before) * 1000, max(before) * 1000
    inside = round(least + at * (most - least))
    kilograms_for_grams = is_other_unit(net_mg=inside, before_mg=before)
    grams_for_kilograms = is_other_unit(net_mg=1, before_mg=[1000, 2000])
    assert (kilograms_for_grams, grams_for_kilograms) == (True, True)
    assert not is_other_unit(net_mg=most * 1001, before_mg=before)
