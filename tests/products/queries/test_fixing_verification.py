"""Fixings and bound lots are held against each other; each fault is planted by raw SQL."""

import pytest

from inventory.queries.verification import first_fault
from products.actions.fixings import put_in, take_out
from products.queries.fixing_verification import wrong_bindings
from tests.factories.book import run
from tests.factories.fixings import bag_of, made
from tests.factories.inventory import make_act
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def fixed(operator, stool, clip):
    part = made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    return part


def set_bound(part, value):
    run(f"UPDATE inventory_lot SET assembled_at = {value} WHERE id = {part.lot_id}")  # noqa: S608


def test_what_actions_bound_and_freed_has_no_fault(operator, stool, fixed, clip):
    bag = bag_of(operator, clip, 3)
    put_in(holder=stool, part=bag, act=make_act(operator), pieces=2)
    take_out(part=fixed, act=make_act(operator))
    assert first_fault() is None


def test_finds_a_bound_lot_whose_part_stands_alone(operator, clip):
    loose = made(operator, clip)
    set_bound(loose, "opened_at")
    rows = [f"lot {loose.lot.code}: is bound, yet its part is in no other and holds none"]
    assert first_fault() == ("bindings", rows)


def test_a_fixing_that_was_ended_binds_nothing(operator, fixed):
    take_out(part=fixed, act=make_act(operator))
    set_bound(fixed, "opened_at")
    assert [row[:17] for row in wrong_bindings()] == [f"lot {fixed.lot.code}:"]


def test_finds_a_fixed_part_whose_lot_could_give(fixed, stool):
    set_bound(fixed, "NULL")
    rows = [f"lot {fixed.lot.code}: is not bound, yet its part is in {stool.lot.code}"]
    assert first_fault() == ("bindings", rows)


def test_finds_a_holder_whose_lot_could_give(fixed, stool):
    set_bound(stool, "NULL")
    rows = [f"lot {stool.lot.code}: is not bound, yet its part holds {fixed.lot.code}"]
    assert first_fault() == ("bindings", rows)


def test_finds_a_fixing_that_was_deleted(fixed, stool):
    run("DELETE FROM products_fixing")
    kind, rows = first_fault()
    assert (kind, len(rows)) == ("bindings", 2)
