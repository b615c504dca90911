"""Deliveries of the invented year, with what goes wrong at the door."""

from inventory.actions.deliveries import Receipt, receive_delivery, refuse_delivery
from inventory.actions.lots import dispose_lot, hold_lot, lift_hold, move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Bin, Colour, Delivery, Lot, Polymer
from workshop.management.demo.floor import KG, Floor, has_room, source

UNKNOWN_AT, REJECT_AT, DIRTY_AT, REFUSED_AT = {6, 22, 41}, {15}, {30}, {11, 37, 52}


def deliver(floor: Floor, number: int) -> None:
    """Let the next delivery arrive."""
    rows = floor.plan["sources"]
    row = rows[number % len(rows)]
    receipt = receipt_for(floor, row, floor.rng.choice(row["brings"]), number)
    who = floor.operator()
    if number in REFUSED_AT:
        refuse_delivery(receipt=receipt, act=floor.act(who, "wet and mixed with food waste"))
        return
    bin = None if number in DIRTY_AT else place_for(floor, receipt)
    delivery = receive_delivery(receipt=receipt, bin=bin, act=floor.act(who), is_confirmed=True)
    if number in DIRTY_AT:
        hold_lot(
            lot=delivery.lot, act=floor.act("lead", "labels and glue found, wash a sample first")
        )


def receipt_for(floor: Floor, row: dict, brought: list, number: int) -> Receipt:
    """Return what the scale and the papers say."""
    symbol, colour, form, origin_class, former_use = brought
    unknown, reject = number in UNKNOWN_AT, number in REJECT_AT
    gross = floor.weighed(floor.rng.randrange(12 * KG, 34 * KG), "floor scale")
    tare_mg = floor.rng.choice([400_000, 1_460_000, 2_300_000])
    polymer = Polymer.objects.get(symbol="PVC-U" if reject else symbol)
    how = floor.rng.choice(["mark", "statement", "float-sink"])
    return Receipt(
        source=source(row["name"]),
        delivered_on=floor.now.date(),
        gross_mg=gross.mg,
        tare_mg=tare_mg,
        net_mg=gross.mg - tare_mg,
        scale=gross.scale,
        polymer=None if unknown else polymer,
        identified_by="unknown" if unknown else how,
        colour=Colour.objects.get(name="grey" if unknown or reject else colour),
        form="whole" if unknown or reject else form,
        origin_class="unknown" if unknown else origin_class,
        former_use="pipes and window strips" if reject else former_use,
        condition="washing" if form == "whole" else "clean",
        supplier_lot=f"W{number:03d}" if row["role"] == "supplier" else "",
        note="Invented delivery.",
    )


def place_for(floor: Floor, receipt: Receipt) -> Bin | None:
    """Return where a delivery goes: quarantine, its flake bin, an intake bin, or the floor."""
    if receipt.polymer is None or receipt.polymer.is_rejected:
        return first_empty(floor, "quarantine")
    place = "flake rack" if receipt.form in {"flake", "pellet"} else "intake"
    fills = floor.fills(place)
    for bin in floor.bins(place, receipt.polymer if place == "flake rack" else None):
        fill = fills.get(bin.pk)
        kept_for_it = bin.colour == receipt.colour
        alike = fill and (fill.polymer, fill.colour) == (receipt.polymer, receipt.colour)
        if (kept_for_it or alike) and has_room(bin, fill, receipt.net_mg):
            return bin
    return first_empty(floor, "intake") if place == "intake" else None


def first_empty(floor: Floor, place: str) -> Bin | None:
    """Return the first bin of a place that holds nothing."""
    fills = floor.fills(place)
    return next((bin for bin in floor.bins(place) if bin.pk not in fills), None)


def tidy_floor(floor: Floor) -> None:
    """Put what stands on the floor into bins that have come free."""
    standing = Lot.objects.open().with_hold().filter(kind=Lot.Kind.DELIVERY, bin=None)
    for lot in standing.filter(is_held=False).select_related("polymer", "colour").order_by("pk"):
        place = "intake" if lot.form in {"whole", "offcut"} else "flake rack"
        bin = (
            first_empty(floor, "intake")
            if place == "intake"
            else floor.bin_for(place, lot, lot.held_mg)
        )
        if bin:
            move_lot(lot=lot, bin=bin, act=floor.act(floor.operator()))


def lift_old_holds(floor: Floor) -> None:
    """The lead lifts the hold on the delivery that was washed since."""
    for delivery in Delivery.objects.filter(
        lot__holds__lifted_at=None, lot__holds__reason__contains="glue"
    ):
        hold = delivery.lot.holds.open().first()
        lift_hold(hold=hold, act=floor.act("lead", "sample washed clean, no residue left"))


def mix_up_and_mend(floor: Floor) -> None:
    """Somebody books grams as kilograms; the lead reverses it and the right mass is booked."""
    dust = [lot for lot in floor.fills("saw").values() if lot.held_mg > 100_000]
    for lot in dust[:1]:
        why = "damp dust, not worth drying"
        wrong = dispose_lot(
            lot=lot, mass=floor.weighed(lot.held_mg // 2), act=floor.act(reason=why)
        )
        mend = floor.act("lead", "entered the wrong mass, the scale showed less")
        reverse_posting(posting=wrong, act=mend)
        dispose_lot(lot=lot, mass=floor.weighed(lot.held_mg // 5), act=floor.act(reason=why))
