"""Recycled content, against the worked example C13 of the trade's notes and the rules of ISO 14021."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.exact_shares import exact_shares, near_shares
from inventory.calculations.traces import ordered_back
from products.calculations.claims import (
    CLASSES,
    claim_sentence,
    floor_percent,
    floor_tenths,
    near_fraction,
    recycled_content,
)

ON = date(2026, 3, 12)
masses = st.dictionaries(st.sampled_from(sorted(CLASSES)), st.integers(1, 10**9), min_size=1)


def content_of_lot(target, edges, classes):
    """Recycled content by lineage, from transfers (source, target, mg)."""
    shares = exact_shares(target, ordered_back((*edge, False, "") for edge in edges))
    found = dict.fromkeys(CLASSES, Fraction())
    for lot, share in shares.items():
        found[classes[lot]] += share
    return recycled_content(found)


def said(masses):
    return claim_sentence(recycled_content(masses), on=ON, position="P-00042")


POST, PRE, VIRGIN = 1, 2, 3
CLASS_OF = {POST: "post-consumer", PRE: "pre-consumer", VIRGIN: "virgin", 4: "unknown"}
C13 = [(None, POST, 60), (None, PRE, 10), (None, VIRGIN, 30)]


# C13 and T48: ISO 14021 leaves out rework and regrind of the same process.
def test_example_c13_own_offcuts_of_virgin_stand_in_the_denominator_only():
    offcuts, charge = 8, 9
    edges = [(VIRGIN, offcuts, 10), (POST, charge, 60), (PRE, charge, 10), (VIRGIN, charge, 20)]
    found = content_of_lot(charge, [*C13, *edges, (offcuts, charge, 10)], CLASS_OF)
    assert (found.post_consumer, found.pre_consumer) == (Fraction(6, 10), Fraction(1, 10))
    assert floor_tenths(found.recycled) == "70.0"


# C13, neutral loop: 70/90 holds only where the offcuts have the make-up of the charge itself.
def test_example_c13_offcuts_of_the_same_make_up_leave_the_share_as_it_was():
    first, offcuts, charge = 7, 8, 9
    edges = [(None, POST, 120), (None, PRE, 20), (None, VIRGIN, 40)]
    edges += [(POST, first, 60), (PRE, first, 10), (VIRGIN, first, 20), (first, offcuts, 10)]
    edges += [(POST, charge, 60), (PRE, charge, 10), (VIRGIN, charge, 20), (offcuts, charge, 10)]
    found = content_of_lot(charge, edges, CLASS_OF)
    assert found.recycled == Fraction(7, 9)
    assert floor_tenths(found.recycled) == "77.7"


# C13, lineage check: 10 % comes back as offcuts into 90 % virgin.
@pytest.mark.parametrize(("origin", "expected"), [(POST, 10), (VIRGIN, 0)])
def test_offcuts_count_as_what_they_were_cut_from(origin, expected):
    first, second = 7, 8
    edges = [(None, origin, 100), (None, 5, 90), (origin, first, 100)]
    edges += [(first, second, 10), (5, second, 90)]
    found = content_of_lot(second, edges, CLASS_OF | {5: "virgin"})
    assert floor_percent(found.recycled) == expected


# T49: a loop of own offcuts of virgin material is 0 %.
def test_an_all_virgin_loop_has_no_recycled_content():
    edges = [(None, VIRGIN, 100)]
    edges += [(lot, lot + 1, 100 - lot) for lot in range(VIRGIN, 20)]
    assert content_of_lot(20, edges, CLASS_OF).recycled == 0


@given(masses)
def test_what_is_unknown_counts_as_if_it_were_virgin(masses):
    known = {each: mass for each, mass in masses.items() if each not in {"unknown", "virgin"}}
    rest = masses.get("unknown", 0) + masses.get("virgin", 0)
    as_virgin = recycled_content(known | {"virgin": rest})
    assert recycled_content(masses).recycled == as_virgin.recycled


@given(masses)
def test_additives_dilute_the_share(masses):
    before = recycled_content(masses).recycled
    after = recycled_content(masses | {"additive": masses.get("additive", 0) + 1}).recycled
    assert after <= before


@given(masses, st.integers(1, 10**9))
def test_a_loop_of_offcuts_never_raises_the_share(masses, given_back):
    lots = {number: each for number, each in enumerate(sorted(masses), start=10)}
    edges = [(None, lot, 2 * masses[each]) for lot, each in lots.items()]
    total = sum(masses.values())
    edges += [(lot, 1, masses[each]) for lot, each in lots.items()]
    edges += [(1, 2, min(given_back, total))] + [
        (lot, 2, masses[each]) for lot, each in lots.items()
    ]
    assert content_of_lot(2, edges, lots).recycled == recycled_content(masses).recycled


@given(masses)
def test_no_figure_is_above_the_exact_share(masses):
    share = recycled_content(masses).recycled
    assert Fraction(floor_percent(share), 100) <= share < Fraction(floor_percent(share) + 1, 100)
    assert Fraction(floor_tenths(share)) <= share * 100


def mixed_of(*rows):
    """Shares by class of a lot of many deliveries, as (class, how many, mg of each)."""
    found = [(each, mg) for each, count, mg in rows for _ in range(count)]
    edges = [(None, lot, mg, False, "") for lot, (_each, mg) in enumerate(found, start=2)]
    edges += [(lot, 1, mg, False, "") for _outside, lot, mg, *_rest in edges]
    sums = dict.fromkeys(CLASSES, Fraction())
    for lot, share in near_shares(1, ordered_back(edges)).items():
        sums[found[lot - 2][0]] += share
    return recycled_content(sums)


# 7/4200 rounds up at any number of digits, 21/4200 is 0.005: rounded one by one, half is not half.
def test_many_small_shares_are_not_rounded_one_by_one():
    found = mixed_of(("post-consumer", 100, 21), ("virgin", 300, 7))
    assert floor_tenths(found.recycled) == "50.0"


def test_a_float_of_a_preview_is_the_billionth_next_to_it():
    assert near_fraction(0.7 - 1e-12) == Fraction(7, 10)


def test_a_step_below_a_whole_share_is_that_share():
    assert floor_percent(Fraction(7, 10) - Fraction(1, 10**30)) == 70


def test_a_billionth_below_is_rounded_down():
    assert floor_percent(Fraction(7, 10) - Fraction(1, 10**9)) == 69


def test_a_known_round_share_is_said_plainly():
    assert "Contains 70 % post-consumer recycled material, by mass, " in said(
        {"post-consumer": 7, "virgin": 3}
    )


def test_the_two_kinds_are_told_apart():
    expected = "70 % recycled material (60 % post-consumer and 10 % pre-consumer), by mass"
    assert expected in said({"post-consumer": 6, "pre-consumer": 1, "additive": 3})


def test_anything_unknown_makes_it_a_lower_bound():
    sentence = said({"post-consumer": 7, "unknown": 3})
    assert "at least 70 % post-consumer" in sentence
    assert "unknown origin counts as none" in sentence


def test_what_rounding_cut_off_makes_it_a_lower_bound():
    assert "at least 66 % pre-consumer" in said({"pre-consumer": 2, "virgin": 1})


def test_below_one_per_cent_nothing_is_claimed():
    assert said({"post-consumer": 1, "virgin": 999}).startswith("No recycled content is claimed")


def test_the_claim_names_date_method_and_position():
    sentence = said({"post-consumer": 1})
    assert "posting P-00042 on 12 March 2026" in sentence
    assert "method ISO 14021, recycled content" in sentence


@given(masses)
def test_no_claim_promises_that_it_will_be_recycled(masses):
    assert "recyclable" not in said(masses).lower()


@pytest.mark.parametrize(
    "masses", [{}, {"virgin": 0}, {"virgin": -1, "post-consumer": 2}, {"own": 1}]
)
def test_refuses_what_is_no_make_up(masses):
    with pytest.raises(ValueError, match="origin class|masses"):
        recycled_content(masses)
