"""Receiving plastic: an accepted delivery becomes a lot, a refused one stays a record."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Protocol

from django.conf import settings
from django.core.files import File
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import record_change
from inventory.actions.fills import guard_bin_material, guard_room, pour
from inventory.actions.locks import lock_bins, lock_with_fill
from inventory.actions.lots import hold_what_is_doubtful
from inventory.actions.postings import Line, post
from inventory.actions.prices import set_price
from inventory.actions.refusals import refusal
from inventory.models import (
    Bin,
    Colour,
    Condition,
    Delivery,
    Identification,
    Lot,
    Mass,
    OriginClass,
    Polymer,
    Posting,
    Scale,
    Source,
    Transfer,
)
from inventory.queries.deliveries import net_question
from inventory.queries.lots import book_mass, open_lot_in
from inventory.queries.masses import mass_said

RECYCLED = (OriginClass.POST_CONSUMER, OriginClass.PRE_CONSUMER)


@dataclass(frozen=True)
class Receipt:
    """What was read off the scale and the papers; masses in mg."""

    source: Source
    delivered_on: date
    net_mg: int
    identified_by: str
    colour: Colour
    form: str
    origin_class: str
    polymer: Polymer | None = None
    gross_mg: int | None = None
    tare_mg: int | None = None
    scale: Scale | None = None
    former_use: str = ""
    condition: str = Condition.CLEAN
    supplier_lot: str = ""
    tests: str = ""
    note: str = ""
    photo: File | None = field(default=None, compare=False)

    def plain(self) -> dict:
        """Return what a fingerprint needs of it; the photo is left out."""
        names = {name: getattr(self, name) for name in self.__dataclass_fields__ if name != "photo"}
        return {
            name: value.isoformat() if isinstance(value, date) else named(value)
            for name, value in names.items()
        }

    @property
    def mass(self) -> Mass:
        """The net mass with the uncertainty of its weighing."""
        readings = 1 if self.gross_mg is None else 2
        return Mass.weighed(self.net_mg, self.scale, readings=readings)


def named(value):
    """Return a model as its text, anything else as it is."""
    return str(value) if value is not None and not isinstance(value, int) else value


class Paper(Protocol):
    """A document that comes with a delivery: what a fingerprint needs of it, and how it is kept."""

    def plain(self) -> dict: ...

    def keep(self, lot: Lot) -> None: ...


@transaction.atomic
def receive_delivery(
    *,
    receipt: Receipt,
    act: Act,
    bin: Bin | None = None,
    paper: Paper | None = None,
    per_kg: Decimal | None = None,
    is_confirmed: bool = False,
) -> Delivery:
    """Accept a delivery: it becomes a lot, in a bin or still on the floor; a paper or a price is kept with it.

    Refuses what the bin refuses, `net` when gross less tare is not net, `identity`
    when the polymer does not fit how it was identified, `own-material` when recycled material
    would come from the workshop itself, and what `set_price` does; `surprising` for a mass far
    from what the source brought before, until it is confirmed. Unknown and reject materials go
    on hold at once. A repeated UUID changes nothing; the confirmation is no part of its content.
    """
    told = {"lineage": paper} if paper else {}
    told |= {} if per_kg is None else {"per_kg": per_kg}
    request = act.request("receive", receipt=receipt, bin=bin, **told)
    if earlier(act, request):
        return Delivery.objects.get(uuid=act.key)
    guard_receipt(receipt)
    guard_own(receipt)
    if not is_confirmed and (question := net_question(receipt.source, receipt.net_mg)):
        raise refusal("surprising", question)
    lot = delivery_lot(receipt, act)
    if bin:
        bin = lock_bins(bin)[bin.pk]
        stand_in_empty_bin(lot, bin, receipt.net_mg)
    line = Line(None, lot, receipt.mass, Transfer.Role.RECEIVED)
    source = str(receipt.source)[:60]
    post(act=act, kind=Posting.Kind.RECEIVE, lines=[line], request=request, reference=source)
    delivery = write_delivery(receipt, act, lot=lot)
    if paper:
        paper.keep(lot)
    if per_kg is not None:
        set_price(delivery=delivery, per_kg=per_kg, act=act.followed_by("price"))
    hold_what_is_doubtful(lot, act)
    if bin and not lot.bin:
        put_in_bin(lot, bin, act.followed_by("into bin"))
    return delivery


@transaction.atomic
def refuse_delivery(*, receipt: Receipt, act: Act) -> Delivery:
    """Turn a delivery away with a reason; it stays on record and never enters the ledger.

    Refuses `reason` when none is given. A repeated UUID changes nothing.
    """
    request = act.request("refuse delivery", receipt=receipt)
    if earlier(act, request):
        return Delivery.objects.get(uuid=act.key)
    need_reason(act)
    guard_receipt(receipt)
    delivery = write_delivery(receipt, act, refusal=act.reason)
    record_change(act=act, subject=delivery.code, request=request, row=delivery)
    return delivery


def put_in_bin(lot: Lot, bin: Bin, act: Act) -> None:
    """Post the whole delivery on into a locked bin that holds something already."""
    fill, _ours = lock_with_fill(bin, lot)
    mass = book_mass(lot)
    request = act.request("move", source=lot, bin=bin, mass=mass)
    pour(source=lot, bin=bin, fill=fill, mass=mass, act=act, request=request)
    lot.refresh_from_db()


def guard_receipt(receipt: Receipt) -> None:
    """Refuse a receipt whose figures or identity contradict themselves."""
    if receipt.delivered_on > timezone.localdate():
        raise refusal("future", _("The day of the delivery lies in the future; check the date."))
    guard_net(receipt)
    if (receipt.identified_by == Identification.UNKNOWN) != (receipt.polymer is None):
        raise refusal(
            "identity",
            _("Name the polymer and how it was told, or say unknown for both."),
        )
    if receipt.scale and max(receipt.gross_mg or 0, receipt.net_mg) > receipt.scale.capacity_mg:
        raise refusal(
            "over-capacity",
            _("%(scale)s weighs at most %(mass)s; weigh in parts or choose another scale."),
            scale=receipt.scale.name,
            mass=mass_said(receipt.scale.capacity_mg),
        )


def guard_own(receipt: Receipt) -> None:
    """Refuse recycled material that the workshop would have from itself.

    ISO 14021 counts no rework, regrind or scrap that goes back into the process it came from.
    """
    is_own = str(receipt.source).casefold() == settings.WORKSHOP_NAME.casefold()
    if is_own and receipt.origin_class in RECYCLED:
        raise refusal(
            "own-material",
            _(
                "Our own offcuts come out of their run, and our parts are taken back; "
                "what is in no run is of unknown origin."
            ),
        )


def guard_net(receipt: Receipt) -> None:
    """Refuse a net mass that gross and tare do not give."""
    gross_mg, tare_mg = receipt.gross_mg, receipt.tare_mg
    if (gross_mg is None) != (tare_mg is None):
        raise refusal("net", _("Give gross and tare both, or the net mass alone."))
    if receipt.net_mg <= 0 or (tare_mg or 0) < 0:
        raise refusal("net", _("The net mass must be above zero; check gross and tare."))
    if gross_mg is not None and receipt.net_mg != gross_mg - tare_mg:
        raise refusal("net", _("Gross less tare is not the net mass; weigh again."))


def delivery_lot(receipt: Receipt, act: Act) -> Lot:
    """Return the unsaved lot that an accepted delivery becomes."""
    return Lot(
        kind=Lot.Kind.DELIVERY,
        polymer=receipt.polymer,
        colour=receipt.colour,
        form=receipt.form,
        origin_class=receipt.origin_class,
        opened_at=act.at,
    )


def stand_in_empty_bin(lot: Lot, bin: Bin, mass_mg: int) -> None:
    """Let the delivery itself be the fill of a locked bin that holds nothing, if the bin allows it."""
    if open_lot_in(bin) is None:
        guard_room(bin, None, mass_mg)
        guard_bin_material(bin, lot.material)
        lot.bin = bin


def write_delivery(receipt: Receipt, act: Act, *, lot: Lot | None = None, refusal: str = ""):
    """Write the record of a delivery, sharing the code of its lot."""
    fields = {name: getattr(receipt, name) for name in Receipt.__dataclass_fields__}
    fields["photo"] = receipt.photo or ""
    code = {"code": lot.code} if lot else {}
    return Delivery.objects.create(
        uuid=act.key,
        lot=lot,
        refusal=refusal,
        recorded_by=act.by,
        recorded_at=timezone.now(),
        **code,
        **fields,
    )
