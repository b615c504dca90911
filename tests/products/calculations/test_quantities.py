"""What is read off a machine."""

from decimal import Decimal

import pytest

from products.calculations.quantities import QUANTITIES, READ_IN, can_be, place_in_window
from products.models import Operation, Quantity


def test_every_operation_has_something_to_read_and_each_has_a_word_and_a_unit():
    assert READ_IN.keys() == set(Operation.values)
    assert {name for names in READ_IN.values() for name in names} == set(Quantity.values)
    assert QUANTITIES.keys() == set(Quantity.values)


def test_nothing_is_colder_than_absolute_zero():
    """-273.15 °C by definition: BIPM, SI Brochure, 9th edition, section 2.3.1."""
    assert can_be("melt", Decimal("-273.15"))
    assert not can_be("melt", Decimal("-273.16"))


@pytest.mark.parametrize(
    ("quantity", "value"),
    [("melt", "500.01"), ("injection-pressure", "-1"), ("clamp-force", "20001"), ("melt", "2300")],
)
def test_a_slip_of_the_finger_cannot_be(quantity, value):
    assert not can_be(quantity, Decimal(value))


@pytest.mark.parametrize(
    ("value", "place"),
    [("189.9", "below"), ("190", "in"), ("230", "in"), ("230.1", "above")],
)
def test_the_ends_belong_to_the_window(value, place):
    assert place_in_window(Decimal(value), Decimal(190), Decimal(230)) == place


def test_a_window_may_be_open_at_one_end():
    assert place_in_window(Decimal(9), Decimal(10), None) == "below"
    assert place_in_window(Decimal(11), Decimal(10), None) == "in"
    assert place_in_window(Decimal(11), None, Decimal(10)) == "above"
