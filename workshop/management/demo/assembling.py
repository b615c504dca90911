"""One product that is put together, used, and mended by a swap; its ids are its own."""

from datetime import timedelta

from django.db.models import F

from products.actions.fixings import put_in, swap_part
from products.actions.parts import hand_over_part, take_back_part
from products.actions.passports import issue_passport
from products.models import Fixing, Part
from workshop.management.demo.costing import acts_of
from workshop.management.demo.floor import Floor, design

HOOKS = 3
SEED = 77_001


def put_together_and_mend(floor: Floor) -> None:
    """Tell the story of one shelf, of the last weeks of the year."""
    end = floor.now
    act, _rng = acts_of(floor, SEED)
    floor.now = end - timedelta(days=40)
    put_together(floor, act)
    floor.now = end - timedelta(days=5)
    swap_a_broken_one(floor, act)
    floor.now = end


def put_together(floor: Floor, act) -> None:
    """Put three coat hooks out of a bag into a shelf, one by one, and hand it over."""
    shelf = fresh(floor, "Shelf board").latest("pk")
    for _hook in range(HOOKS):
        bag = bag_of_hooks(floor)
        hook = put_in(holder=shelf, part=bag, pieces=1, act=act("operator", "")).part
        issue_passport(part=hook, act=act("operator", ""))
    send_out(act, shelf, "three hooks are in it")


def swap_a_broken_one(floor: Floor, act) -> None:
    """The shelf comes back with a broken hook, gets another and goes out again."""
    broken = Fixing.objects.open().select_related("holder", "part").earliest("pk")
    shelf = broken.holder
    if shelf.handovers.filter(back_at=None).exists():
        take_back_part(part=shelf, state="a hook broke off", act=act("operator", ""))
    said = {"state": "broken, the screw hole tore", "act": act("operator", "")}
    hook = swap_part(part=broken.part, new=bag_of_hooks(floor), **said).part
    issue_passport(part=hook, act=act("operator", ""))
    send_out(act, shelf, "a hook was swapped")


def send_out(act, shelf: Part, why: str) -> None:
    """Issue the passport of the shelf anew and hand it over."""
    issue_passport(part=shelf, act=act("operator", why))
    hand_over_part(part=shelf, to="invented customer", act=act("operator", ""))


def bag_of_hooks(floor: Floor) -> Part:
    """Return the bag that holds most coat hooks."""
    return fresh(floor, "Coat hook").order_by(F("lot__out_mg") - F("lot__in_mg")).first()


def fresh(floor: Floor, name: str):
    """Return parts of a design that are here and were never out, not on hold."""
    return Part.objects.here().filter(
        design=design(name),
        made_at__lt=floor.now,
        handovers=None,
        lot__holds=None,
        lot__assembled_at=None,
        bag=None,
    )
