"""One product that is put together, used, and mended by a swap."""

from django.db.models import F

from products.actions.fixings import put_in, swap_part
from products.actions.parts import hand_over_part, take_back_part
from products.actions.passports import issue_passport
from products.models import Fixing, Part
from workshop.management.demo.floor import Floor, design

HOOKS = 3


def put_together(floor: Floor) -> None:
    """Put three coat hooks out of a bag into a shelf, one by one, and hand it over."""
    shelf = fresh("Shelf board").latest("pk")
    for _hook in range(HOOKS):
        act = floor.act(floor.operator())
        hook = put_in(holder=shelf, part=bag_of_hooks(), pieces=1, act=act).part
        issue_passport(part=hook, act=floor.act(floor.operator()))
    send_out(floor, shelf, "three hooks are in it")


def swap_a_broken_one(floor: Floor) -> None:
    """The shelf comes back with a broken hook, gets another and goes out again."""
    broken = Fixing.objects.open().select_related("holder", "part").earliest("pk")
    shelf = broken.holder
    if shelf.handovers.filter(back_at=None).exists():
        take_back_part(part=shelf, state="a hook broke off", act=floor.act(floor.operator()))
    act, state = floor.act(floor.operator()), "broken, the screw hole tore"
    hook = swap_part(part=broken.part, new=bag_of_hooks(), state=state, act=act).part
    issue_passport(part=hook, act=floor.act(floor.operator()))
    send_out(floor, shelf, "a hook was swapped")


def send_out(floor: Floor, shelf: Part, why: str) -> None:
    """Issue the passport of the shelf anew and hand it over."""
    issue_passport(part=shelf, act=floor.act(floor.operator(), why))
    hand_over_part(part=shelf, to="invented customer", act=floor.act(floor.operator()))


def bag_of_hooks() -> Part:
    """Return the bag that holds most coat hooks."""
    return fresh("Coat hook").order_by(F("lot__out_mg") - F("lot__in_mg")).first()


def fresh(name: str):
    """Return parts of a design that are here and were never out, not on hold."""
    return Part.objects.here().filter(
        design=design(name), handovers=None, lot__holds=None, bag=None, lot__assembled_at=None
    )
