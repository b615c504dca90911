"""What the database itself refuses of lots and holds."""

import pytest
from django.utils import timezone

from inventory.models import Hold, Lot
from tests.factories.book import broken
from tests.factories.inventory import KG, make_delivery, make_full_bin

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.mark.parametrize("counters", [(0, 1), (KG, KG + 1), (-1, -1), (KG, -1)])
def test_lot_gives_no_more_than_it_took(lot, counters):
    with broken("lot_gives_no_more_than_it_took"):
        Lot.objects.filter(pk=lot.pk).update(in_mg=counters[0], out_mg=counters[1])


def test_lot_one_open_per_bin(lot, operator):
    other = make_delivery(operator).lot
    with broken("lot_one_open_per_bin", "inventory_lot.bin_id"):
        Lot.objects.filter(pk=other.pk).update(bin=lot.bin)


def test_an_emptied_lot_may_stay_written_to_its_bin(lot, operator):
    other = make_delivery(operator).lot
    Lot.objects.filter(pk=other.pk).update(out_mg=10 * KG, bin=lot.bin)
    assert lot.bin.lots.count() == 2


@pytest.mark.parametrize(
    ("kind", "origin"), [("delivery", ""), ("gain", ""), ("fill", "virgin"), ("charge", "virgin")]
)
def test_lot_origin_only_from_outside(lot, kind, origin):
    with broken("lot_origin_only_from_outside"):
        Lot.objects.filter(pk=lot.pk).update(kind=kind, origin_class=origin)


def hold(lot, by, **changes):
    placed = {"placed_at": timezone.now(), "placed_by": by, "placed_role": "operator"}
    return Hold.objects.create(lot=lot, **({"reason": "smells"} | placed | changes))


def test_hold_has_reason(lot, operator):
    with broken("hold_has_reason"):
        hold(lot, operator, reason="")


@pytest.mark.parametrize("missing", ["lifted_at", "lifted_by", "lift_reason"])
def test_hold_lifted_with_reason(lot, operator, missing):
    lifted = {"lifted_at": timezone.now(), "lifted_by": operator, "lift_reason": "aired"}
    with broken("hold_lifted_with_reason"):
        hold(lot, operator, **{name: lifted[name] for name in lifted if name != missing})


def test_a_lot_knows_what_it_holds_and_its_mark(lot):
    assert (lot.held_mg, lot.mark) == (10 * KG, ">PE-HD<")


def test_an_unknown_lot_has_no_mark(operator):
    assert make_delivery(operator, polymer=None, identified_by="unknown").lot.mark == ""


def test_lots_on_hold_are_told_apart(lot, operator):
    hold(lot, operator)
    make_delivery(operator)
    assert [each.is_held for each in Lot.objects.with_hold().order_by("pk")] == [True, False]
