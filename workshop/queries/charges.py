"""Questions before a run is loaded: which bins and parts fit."""

from django.db.models import Exists, OuterRef, QuerySet

from inventory.calculations.coarseness import purpose
from inventory.models import Form, Hold, Lot, Polymer
from products.models import Operation, Part
from workshop.calculations.operations import HEATED, RETAINING, RULES
from workshop.models import Charge, Run
from workshop.queries.runs import current_charge, numbered, run_numbered

MOST_CHOICES = 60


def wanted_polymers(run: Run) -> list[Polymer] | None:
    """Return the polymers that a run takes now, or None when it takes any.

    A charge that is still filling wants its own polymer; else a machine that keeps material
    inside wants its last one, and the design what it allows.
    """
    charge = current_charge(run)
    if charge and charge.lot.out_mg == 0:
        return [charge.lot.polymer]
    allowed = list(run.design.polymers.all()) if run.design else []
    last = run.machine.last_polymer
    if last is None or run.machine.kind not in RETAINING:
        return allowed or None
    return [last] if not allowed or last in allowed else []


def fitting(run: Run, wanted: list[Polymer] | None, lots: QuerySet, path: str = "") -> QuerySet:
    """Narrow lots, or things with a lot at `path`, to the polymers wanted."""
    if wanted is not None:
        return lots.filter(**{f"{path}polymer__in": wanted})
    lots = lots.filter(**{f"{path}polymer__isnull": False})
    guarded = run.machine.kind in HEATED | RETAINING
    return lots.filter(**{f"{path}polymer__is_rejected": False}) if guarded else lots


def fitting_lots(run: Run, wanted: list[Polymer] | None) -> list[Lot]:
    """Return the fills of bins and the deliveries on the floor of the polymers wanted.

    What is ready for the operation comes first (whole items and offcuts for a granulator, flake
    and pellet for the rest), bins before the floor.
    """
    if not RULES[run.operation].takes_bins:
        return []
    kinds = (Lot.Kind.DELIVERY, Lot.Kind.FILL)
    lots = Lot.objects.open().with_hold().filter(kind__in=kinds, is_held=False)
    related = ("polymer", "colour", "bin", "delivery__source")
    lots = fitting(run, wanted, lots).select_related(*related)
    found = list(lots.order_by("bin__name", "pk")[:MOST_CHOICES])
    wanted_purpose = "grind" if run.operation == "granulate" else "ready"
    return sorted(found, key=lambda lot: (purpose(lot.form) != wanted_purpose, lot.bin is None))


def fitting_parts(run: Run, wanted: list[Polymer] | None) -> list[Part]:
    """Return the parts in stock of the polymers wanted, newest first.

    Sheets and profiles come before finished things, but for granulating.
    """
    if not RULES[run.operation].takes_parts:
        return []
    held = Hold.objects.open().filter(lot=OuterRef("lot"))
    loose = Part.objects.here().filter(lot__assembled_at=None).exclude(Exists(held))
    parts = fitting(run, wanted, loose, "lot__")
    stock = parts.select_related("design", "lot__polymer", "lot__colour")
    blanks = stock.exclude(design__form=Form.PART)[:MOST_CHOICES]
    finished = stock.filter(design__form=Form.PART)[:MOST_CHOICES]
    if run.operation == Operation.GRANULATE:
        return [*finished, *blanks][:MOST_CHOICES]
    return [*blanks, *finished][:MOST_CHOICES]


def charge_named(text: str) -> Lot | None:
    """Return the lot of a charge named as people do, by its run and number: R-0042/1."""
    number, slash, place = text.partition("/")
    run, which = run_numbered(number.strip()), numbered(place.strip())
    if not slash or run is None or which is None:
        return None
    charge = run.charges.select_related("lot").filter(number=which).first()
    return charge.lot if charge else None


def charge_label_of(lot: Lot) -> str:
    """Return what people call the charge of a lot: R-0042/1."""
    charge = Charge.objects.select_related("run").get(lot=lot)
    return f"{charge.run.number}/{charge.number}"


def part_of(lot: Lot) -> Part | None:
    """Return the part that a lot is, with its design, or None."""
    if lot.kind != Lot.Kind.PART:
        return None
    return Part.objects.select_related("design", "lot__polymer", "lot__colour").get(lot=lot)
