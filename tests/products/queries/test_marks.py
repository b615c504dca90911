"""The mark of a lot from its make-up, and what a part of a design must say."""

import pytest

from products.models import Part
from products.queries.marks import mark_of_lot, marking_of, marking_of_design
from tests.factories.inventory import make_delivery, polymer
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


def test_a_lot_is_marked_with_what_it_consists_of(run):
    assert mark_of_lot(Part.objects.first().lot).text == ">PE-HD<"


def test_a_lot_of_unknown_polymer_has_no_mark(operator):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    marking = marking_of(mark_of_lot(lot))
    assert (marking.text, marking.resin) == ("", None)
    assert "unknown polymer" in marking.warnings[0]


def test_a_marking_explains_itself_and_names_both_codes(operator):
    """PE-HD is 2 HDPE in ASTM D7611 and in 97/129/EC."""
    marking = marking_of(mark_of_lot(make_delivery(operator).lot))
    assert marking.sentences[0] == "PE-HD is polyethylene, high density."
    assert (marking.resin.number, marking.packaging.text) == (2, "HDPE")


def test_a_design_has_a_marking_for_each_polymer(db):
    design = DesignFactory()
    design.polymers.set([polymer("PE-HD"), polymer("PP")])
    assert [each.text for each in marking_of_design(design).markings] == [">PE-HD<", ">PP<"]


def test_packaging_is_numbered_first(db):
    """Commission Decision 97/129/EC numbers packaging; ISO 11469 is made for products."""
    uses = [
        marking_of_design(DesignFactory(is_packaging=is_packaging)).advice[0].marking
        for is_packaging in (True, False)
    ]
    assert uses == ["97/129/EC", "ISO 11469"]


def test_a_promise_beside_the_code_is_noticed(db):
    assert marking_of_design(DesignFactory(care="100 % recyclable")).promises
    assert not marking_of_design(DesignFactory()).promises
