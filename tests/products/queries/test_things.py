"""What can carry a label, by code, by run and by range."""

import pytest

from products.models import Part
from products.queries.things import (
    Thing,
    found_things,
    name_of,
    parts_of_run,
    thing_named,
    things_between,
)
from tests.factories.inventory import BinFactory, make_delivery, make_full_bin

pytestmark = pytest.mark.django_db


def test_a_thing_is_named_by_kind_and_code():
    assert thing_named("bin:abcd-efgh jkmo") == Thing("bin", "ABCDEFGHJKM0")


@pytest.mark.parametrize("text", ["", "bin", "bin:ABC", "sofa:ABCDEFGHJKMN"])
def test_what_is_written_otherwise_names_nothing(text):
    assert thing_named(text) is None


def test_things_are_found_once_and_in_order():
    bins = [BinFactory(), BinFactory()]
    things = [Thing("bin", bin.code) for bin in (*bins[::-1], bins[0])]
    assert list(found_things(things).values()) == bins[::-1]


def test_what_is_not_there_is_left_out():
    assert found_things([Thing("bin", "0" * 12)]) == {}


def test_a_lot_is_named_as_the_part_or_delivery_that_it_is(run, operator):
    codes = [Part.objects.earliest("pk").code, make_delivery(operator).code]
    found = found_things(Thing("lot", code) for code in codes)
    assert [thing.kind for thing in found] == ["part", "delivery"]


def test_many_things_are_found_in_four_queries(run, operator, django_assert_num_queries):
    parts = parts_of_run(run.number)
    others = [Thing("bin", BinFactory().code), Thing("lot", "0" * 12), Thing("lot", "1" * 12)]
    with django_assert_num_queries(4):
        assert len(found_things(parts + others)) == 4


def test_a_run_names_its_parts_in_the_order_they_were_made(run):
    codes = list(Part.objects.order_by("pk").values_list("code", flat=True))
    assert [thing.code for thing in parts_of_run(f" {run.number.lower()} ")] == codes


def test_bins_are_taken_by_name_from_one_to_another():
    codes = [BinFactory(name=name).code for name in ("X-1", "X-2", "X-3", "X-4")]
    assert [thing.code for thing in things_between("bin", "x-3", "X-2")] == codes[1:3]


def test_parts_are_taken_in_the_order_they_were_made(run):
    codes = list(Part.objects.order_by("pk").values_list("code", flat=True))
    assert [t.code for t in things_between("part", codes[2], codes[1])] == codes[1:]


def test_deliveries_are_taken_by_number(operator):
    deliveries = [make_delivery(operator) for _number in range(3)]
    ends = deliveries[0].number, deliveries[1].number
    assert len(things_between("delivery", *ends)) == 2


def test_a_range_with_an_unknown_end_is_empty():
    BinFactory(name="X-1")
    assert things_between("bin", "X-1", "X-9") == []


def test_things_are_called_what_people_call_them(run, operator):
    bin, lot = make_full_bin(operator)
    part = Part.objects.first()
    assert [name_of(row) for row in (bin, lot, lot.delivery, part)] == [
        bin.name,
        lot.delivery.number,
        lot.delivery.number,
        part.design.name,
    ]
