"""When a bin agrees with its book, and which readings look like a slip."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.counts import Circumstances, Comparison, compare, surprise

KG = 1_000_000
masses = st.integers(0, 100 * KG)


def asked(book_mg, net_mg, *, taken_off_mg=KG, expanded_mg=8_165.0, scale_mg=60 * KG):
    """What is asked of a bin of 1 kg tare with room for 40 kg."""
    around = Circumstances(net_mg + taken_off_mg, taken_off_mg, KG, 40 * KG, scale_mg)
    return surprise(Comparison(book_mg, net_mg, expanded_mg), around)


def test_the_tolerance_is_the_expanded_uncertainty_of_both():
    """u of 3 g and 4 g add as squares to 5 g (JCGM 100, 5.1.2); with k = 2, U is 10 g."""
    compared = compare(book_mg=KG, net_mg=KG + 10_000, uncertainties_mg=[3000, 4000])
    assert (compared.expanded_mg, compared.verdict) == (10_000, "agrees")


@pytest.mark.parametrize(
    ("net_mg", "verdict"), [(KG + 10_001, "more"), (KG - 10_001, "less"), (KG, "agrees")]
)
def test_beyond_the_tolerance_it_is_more_or_less(net_mg, verdict):
    compared = compare(book_mg=KG, net_mg=net_mg, uncertainties_mg=[3000, 4000])
    assert compared.verdict == verdict


def test_nothing_never_agrees_with_something():
    assert Comparison(1, 0, 10_000).verdict == "less"
    assert Comparison(0, 0, 0).verdict == "agrees"


@pytest.mark.parametrize(
    ("book_mg", "net_mg", "expected"),
    [
        (5 * KG, 5_100_000, ""),
        (5 * KG, 4_200_000, ""),
        (5 * KG, 3_900_000, "far"),
        (5 * KG, 6 * KG, "tare"),
        (5 * KG, 4 * KG, "tare"),
        (5 * KG, 5999 * KG, "unit"),
        (5 * KG, 59 * KG, "digit"),
        (30 * KG, 62 * KG, "scale"),
        (38 * KG, 41 * KG, "room"),
        (5 * KG, 0, "empty"),
        (0, KG // 2, "far"),
        (0, 8_000, ""),
    ],
)
def test_a_slip_is_told_by_its_kind(book_mg, net_mg, expected):
    assert asked(book_mg, net_mg) == expected


def test_grams_typed_as_kilograms_are_told_also_the_other_way():
    assert asked(5 * KG, 5_100, taken_off_mg=0) == "unit"


@given(masses, masses, st.floats(0, 1e6))
def test_what_agrees_is_never_asked_back(book_mg, net_mg, expanded_mg):
    if Comparison(book_mg, net_mg, expanded_mg).verdict == "agrees":
        assert asked(book_mg, net_mg, expanded_mg=expanded_mg) == ""


@given(masses, masses)
def test_the_difference_brings_the_book_to_the_scale(book_mg, net_mg):
    compared = Comparison(book_mg, net_mg, 0.0)
    assert book_mg + compared.difference_mg == net_mg
