"""Bins themselves: made, changed, retired."""

from dataclasses import asdict, dataclass

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import lock_bins
from inventory.actions.refusals import refusal
from inventory.models import Bin, Colour, Polymer
from inventory.queries.lots import open_lot_in


@dataclass(frozen=True)
class BinPlan:
    """What a bin is to be; masses in mg."""

    name: str
    capacity_mg: int
    tare_mg: int = 0
    place: str = ""
    polymer: Polymer | None = None
    colour: Colour | None = None

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return asdict(self) | {
            "polymer": str(self.polymer or ""),
            "colour": str(self.colour or ""),
        }


@transaction.atomic
def create_bin(*, plan: BinPlan, act: Act) -> Bin:
    """Put a new bin into use.

    Refuses `name-taken`. A repeated UUID changes nothing.
    """
    request = act.request("create bin", plan=plan)
    if done := earlier(act, request):
        return outcome_of(done, Bin)
    guard_name(plan.name)
    bin = Bin.objects.create(**{name: getattr(plan, name) for name in plan.__dataclass_fields__})
    record_change(act=act, subject=bin.code, request=request, row=bin)
    return bin


@transaction.atomic
def change_bin(*, bin: Bin, plan: BinPlan, act: Act) -> Bin:
    """Change a bin's name, place, tare, room or what it is kept for.

    Refuses `name-taken`, `overfull` when it holds more than the new room and
    `polymer-mismatch` when it holds something else. A repeated UUID changes nothing.
    """
    request = act.request("change bin", bin=bin, plan=plan)
    if earlier(act, request):
        return Bin.objects.get(pk=bin.pk)
    bin = lock_bins(bin)[bin.pk]
    if plan.name != bin.name:
        guard_name(plan.name)
    guard_contents(bin, plan)
    for name in plan.__dataclass_fields__:
        setattr(bin, name, getattr(plan, name))
    bin.save()
    record_change(act=act, subject=bin.code, request=request, row=bin)
    return bin


@transaction.atomic
def retire_bin(*, bin: Bin, act: Act) -> Bin:
    """Take an empty bin out of use; its history stays.

    Refuses `not-empty` and `retired`. A repeated UUID changes nothing.
    """
    request = act.request("retire bin", bin=bin)
    if earlier(act, request):
        return Bin.objects.get(pk=bin.pk)
    bin = lock_bins(bin)[bin.pk]
    if bin.retired_at:
        raise refusal("retired", _("This bin was retired before."))
    if open_lot_in(bin):
        raise refusal("not-empty", _("Empty the bin first: move or dispose what it holds."))
    bin.retired_at = timezone.now()
    bin.save()
    record_change(act=act, subject=bin.code, request=request, row=bin)
    return bin


def guard_name(name: str) -> None:
    """Refuse a name that another bin has."""
    if Bin.objects.filter(name=name).exists():
        raise refusal("name-taken", _("Bin %(name)s exists; choose another name."), name=name)


def guard_contents(bin: Bin, plan: BinPlan) -> None:
    """Refuse a plan that does not suit what the bin holds now."""
    fill = open_lot_in(bin)
    if fill is None:
        return
    if fill.held_mg > plan.capacity_mg:
        raise refusal("overfull", _("It holds more than that now; move some out first."))
    if plan.polymer and fill.polymer != plan.polymer:
        raise refusal("polymer-mismatch", _("It holds another polymer now; empty it first."))
    if plan.colour and not plan.colour.is_mixed and fill.colour != plan.colour:
        raise refusal("colour-mismatch", _("It holds another colour now; empty it first."))
