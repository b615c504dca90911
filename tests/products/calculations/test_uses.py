"""Cautions for uses that need an approval."""

import pytest

from products.calculations.uses import CAUTIONS, cautions_of
from products.models import Use


def test_every_use_has_its_caution():
    assert list(CAUTIONS) == Use.values


def test_every_caution_defers():
    assert all("needs approval the tool cannot give" in each for each in CAUTIONS.values())


# Titles of the acts as the Official Journal has them; materials notes, section E.
@pytest.mark.parametrize(
    ("use", "act"), [("food", "2022/1616"), ("toys", "2025/2509"), ("mains", "2014/35/EU")]
)
def test_cautions_name_the_act(use, act):
    (caution,) = cautions_of([use])
    assert act in caution


def test_a_use_is_said_once_and_in_order():
    assert [each.code for each in cautions_of(["fire", "toys", "fire"])] == ["use-toys", "use-fire"]


def test_a_use_there_is_not_is_an_error():
    with pytest.raises(KeyError):
        cautions_of(["flying"])
