"""A limit of melt passes: what it is, and when a share is above it."""

import pytest

from products.calculations.pass_limits import PassLimit


@pytest.mark.parametrize(("times", "percent"), [(0, 20), (10, 20), (3, -1), (3, 100)])
def test_what_limits_nothing_is_no_limit(times, percent):
    assert not PassLimit(times, percent).can_be


@pytest.mark.parametrize(("times", "percent"), [(1, 0), (9, 99)])
def test_the_ends_are_limits(times, percent):
    assert PassLimit(times, percent).can_be


# 0.1 + 0.2 is 0.30000000000000004 in floats (IEEE 754).
def test_the_noise_of_floats_is_not_above():
    assert not PassLimit(2, 30).is_passed_by(0.1 + 0.2)
    assert PassLimit(2, 30).is_passed_by(0.3001)
