"""Questions about bins: the board, and which bins a lot fits into."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import (
    Case,
    Exists,
    F,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.calculations.coarseness import purpose
from inventory.models import Bin, Form, Hold, Lot, Transfer
from inventory.queries.codes import row_found
from inventory.queries.masses import bulk_said
from inventory.queries.postings import history_rows
from inventory.queries.statements import Keys, kept

STATES = {
    "held": _("on hold"),
    "unknown": _("unknown"),
    "empty": _("empty"),
    "filled": _("in use"),
    "retired": _("retired"),
}


BEST = 4  # bins that are named where one was refused
LATEST = 6  # lines of history on the page of a bin; what it is opened for is what it holds


@kept
def bins_coded(code: str) -> QuerySet[Bin]:
    """The bin of a code with what it is kept for."""
    return Bin.objects.select_related("polymer", "colour").filter(code=code)


def open_lots_of_bin(**narrower) -> QuerySet[Lot]:
    """Return, for use inside a query of bins, the open lot that stands in each."""
    return Lot.objects.open().filter(bin=OuterRef("pk"), **narrower).order_by()


def bins_with_mass() -> QuerySet[Bin]:
    """Return bins with the mg each holds now as `held_mg`, in one query however many bins."""
    fill = open_lots_of_bin()
    held = Subquery(fill.annotate(mg=F("in_mg") - F("out_mg")).values("mg")[:1])
    return Bin.objects.annotate(held_mg=Coalesce(held, 0)).select_related("polymer", "colour")


def fills_of(bins: list[Bin]) -> dict[int, Lot]:
    """Return what each of some bins holds now, by primary key of the bin, in one query."""
    lots = Lot.objects.open().filter(bin__in=bins).with_hold()
    return {lot.bin_id: lot for lot in lots.select_related("polymer", "colour")}


@kept
def fills_in(bin: int) -> QuerySet[Lot]:
    """What a bin holds now, with its hold and material."""
    return Lot.objects.open().filter(bin=bin).with_hold().select_related("polymer", "colour")


def filled(bin: Bin) -> Lot | None:
    """Return what a bin holds now, and tell the bin how much that is: `held_mg`."""
    fill = next(iter(fills_in(bin.pk)), None)
    bin.held_mg = fill.held_mg if fill else 0
    return fill


def bin_board() -> QuerySet[Bin]:
    """Return the bins in use with the mass they hold."""
    return bins_with_mass().filter(retired_at__isnull=True)


@dataclass(frozen=True)
class BinCard:
    """What one card of the board prints; masses in mg."""

    bin: Bin
    symbol: str
    colour: str
    srgb: str
    form: str
    state: str
    is_spoken_for: bool = False  # pieces of an open visit took of it, nobody knows yet how much

    @property
    def state_label(self):
        """Its state in words, empty for the usual one."""
        return "" if self.state == "filled" else STATES[self.state]

    @property
    def held_mg(self) -> int:
        """Milligrams in it now."""
        return self.bin.held_mg

    @property
    def width(self) -> int:
        """How full it is, in thousandths; a trace of something stays visible."""
        if not self.bin.held_mg:
            return 0
        return max(8, min(1000, self.bin.held_mg * 1000 // self.bin.capacity_mg))

    @property
    def contents(self) -> str:
        """What it holds of how much, such as "PE-HD blue flake, 12.700 kg of 60.000 kg"."""
        material = " ".join(word for word in (self.symbol, self.colour, self.form) if word)
        facts = {"material": material, "room": bulk_said(self.bin.capacity_mg)}
        if self.state == "empty":
            words = gettext("empty, kept for %(material)s, takes %(room)s")
            return (words if material else gettext("empty, takes %(room)s")) % facts
        state = gettext("in an open visit") if self.is_spoken_for else self.state_label
        facts |= {"held": bulk_said(self.held_mg)}
        facts["material"] = f"{state}: {material}" if state else material
        return gettext("%(material)s, %(held)s of %(room)s") % facts

    @property
    def url(self) -> str:
        """The address of its page."""
        return self.bin.get_absolute_url()


def bin_cards(bins: list[Bin]) -> list[BinCard]:
    """Return the cards of bins that came with their mass, in one query more."""
    fills = fills_of(bins)
    return [bin_card(bin, fills.get(bin.pk)) for bin in bins]


def bin_card(bin: Bin, fill: Lot | None) -> BinCard:
    """Return the card of a bin and of what it holds."""
    material = fill or bin
    return BinCard(
        bin=bin,
        symbol=material.polymer.symbol if material.polymer else "",
        colour=material.colour.name if material.colour else "",
        srgb=material.colour.srgb if material.colour else "",
        form=fill.get_form_display() if fill else "",
        state=bin_state(bin, fill),
        is_spoken_for=bool(fill and fill.spoken_for_mg),
    )


def bin_state(bin: Bin, fill: Lot | None) -> str:
    """Return held, unknown, empty, filled or retired; the fill came with its hold."""
    if bin.retired_at:
        return "retired"
    if fill is None:
        return "empty"
    if fill.is_held:
        return "held"
    return "filled" if fill.polymer_id else "unknown"


def fitting_bins(lot: Lot, *, most: int = 24) -> list[Bin]:
    """Return bins that take some of a lot, the best first, each with its `fit` of 1 to 4.

    1: same polymer and colour inside; 2: a bin of that polymer for mixed colours;
    3: an empty bin kept for it; 4: an empty bin kept for nothing. Unknown material fits
    an empty bin only. Bins that are full, held, in an open visit, kept for something else or
    filled with what serves another purpose (flake, dust, what is still to be ground) are left out.
    """
    same = {"polymer": lot.polymer_id or 0}
    fit = Case(
        When(Exists(open_lots_of_bin(**same, colour=lot.colour_id)), then=Value(1)),
        When(Q(colour__is_mixed=True) & Exists(open_lots_of_bin(**same)), then=Value(2)),
        When(Exists(open_lots_of_bin()), then=None),
        When(polymer=None, then=Value(4)),
        default=Value(3),
        output_field=IntegerField(),
    )
    held = Hold.objects.open().filter(
        lot__in=Lot.objects.open().filter(bin=OuterRef(OuterRef("pk")))
    )
    takes_colour = Q(colour=None) | Q(colour=lot.colour_id) | Q(colour__is_mixed=True)
    takes_polymer = Q(polymer=None) | Q(polymer=lot.polymer_id or 0)
    bins = bin_board().annotate(fit=fit, room_mg=F("capacity_mg") - F("held_mg"))
    bins = bins.filter(takes_polymer & takes_colour, fit__isnull=False, room_mg__gt=0)
    strange = [form for form in Form.values if purpose(form) != purpose(lot.form)]
    bins = bins.exclude(Exists(open_lots_of_bin(form__in=strange)))
    bins = bins.exclude(Exists(open_lots_of_bin(spoken_for_mg__gt=0)))
    return list(bins.exclude(Exists(held)).exclude(pk=lot.bin_id).order_by("fit", "name")[:most])


@dataclass(frozen=True)
class BinOffers:
    """The bins in use: those that take all of a thing, best first, then the others by name."""

    fits: list[BinCard]
    others: list[BinCard]
    is_known: bool  # whether it is known yet what is to go in

    @property
    def best(self) -> list[BinCard]:
        """The few that suit best."""
        return self.fits[:BEST]


def bin_offers(lot: Lot | None, mass_mg: int = 0) -> BinOffers:
    """Return the bins in use for mg of a lot, or for what nobody has named yet, in at most three queries."""
    cards = {card.bin.pk: card for card in bin_cards(list(bins_with_mass().in_use()))}
    found = fitting_bins(lot, most=len(cards)) if lot else []
    fits = [cards.pop(bin.pk) for bin in found if bin.room_mg >= mass_mg]
    return BinOffers(fits, list(cards.values()), lot is not None)


def fitting_lots(bin: Bin, *, most: int = 24) -> list[Lot]:
    """Return deliveries still on the floor that a bin may take, the oldest first."""
    floor = Lot.objects.open().filter(kind=Lot.Kind.DELIVERY, bin=None).with_hold()
    fill = bin.lots.open().first()
    wanted = fill or bin
    if wanted.polymer_id:
        floor = floor.filter(polymer=wanted.polymer_id)
    if bin.colour_id and not bin.colour.is_mixed:
        floor = floor.filter(colour=bin.colour_id)
    related = ("polymer", "colour", "bin", "delivery__source")
    return list(floor.filter(is_held=False).select_related(*related).order_by("pk")[:most])


def bin_named(text: str) -> Bin | None:
    """Return the bin of a shop name or of a code as typed or scanned."""
    coded = row_found(bins_coded, text)
    return coded or Bin.objects.filter(name__iexact=text.strip()).first()


def contents_of(bin: Bin) -> QuerySet[Lot]:
    """Return every lot that ever stood in a bin, newest first."""
    return bin.lots.order_by("-pk")


@kept
def newest_contents(bin: int) -> QuerySet[Lot]:
    """The primary keys of the two lots that stood in a bin last."""
    return Lot.objects.filter(bin=bin).order_by("-pk").values_list("pk", flat=True)[:2]


def bin_history(bin: Bin, lots: list[Lot], *, most: int = 200) -> list[Transfer]:
    """Return the newest transfers into or out of some of a bin's contents, newest first.

    It goes by contents and not by postings: a bin that is years old has too many to sort
    them all. What was left and went into the next contents is told with those.
    """
    return list(moved_through([lot.pk for lot in lots], bin.pk)[:most])


def latest_history(bin: Bin) -> list[Transfer]:
    """Return the newest lines of a bin's history: of its last two contents, as `bin_history` does."""
    lots = newest_contents(bin.pk)
    return latest_moved_through(lots, bin.pk) if lots else []


@kept
def latest_moved_through(lots: Keys, bin: int) -> QuerySet[Transfer]:
    """The newest transfers into or out of some of a bin's contents."""
    return moved_through(lots, bin)[:LATEST]


def moved_through(lots: Iterable[int], bin: int) -> QuerySet[Transfer]:
    """Return the transfers into or out of some of a bin's contents, by primary keys, newest first."""
    stood = Lot.objects.filter(bin=bin).values("pk")
    given = Q(source__pk__in=lots) & (Q(target=None) | ~Q(target__in=stood))
    return history_rows(Transfer.objects.filter(Q(target__pk__in=lots) | given))
