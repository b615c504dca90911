"""Flame retardants by the codes of ISO 1043-4:2021 and plasticisers by ISO 1043-3."""

import pytest

from products.calculations.additives import (
    FLAME_GROUPS,
    FLAME_RETARDANTS,
    flame_sentence,
    plasticiser_sentence,
)


@pytest.mark.parametrize("code", range(10, 30))
def test_ten_to_twenty_nine_are_halogenated(code):
    """ISO 1043-4:2021, as summarised by a trade association."""
    assert "10-29 halogenated compounds" in flame_sentence(code)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (23, "hexabromocyclododecane"),  # ISO 1043-4:2021, association news on its changes
        (24, "hexabromocyclododecane with antimony"),  # the same
        (75, "silicon"),  # the same
        (76, "silicon"),  # the same
        (52, "red phosphorus"),  # from memory of the standard
    ],
)
def test_a_code_names_its_substance(code, words):
    assert words in flame_sentence(code)


@pytest.mark.parametrize("code", range(90, 100))
def test_a_code_outside_the_groups_is_said_to_be_so(code):
    assert "in no group" in flame_sentence(code)


def test_every_code_with_a_substance_is_in_one_group():
    found = [[code for codes, _name in FLAME_GROUPS if code in codes] for code in FLAME_RETARDANTS]
    assert {len(groups) for groups in found} == {1}


def test_a_plasticiser_that_is_not_listed_is_said_to_be_so():
    assert "not in the list kept here" in plasticiser_sentence("XYZ")
