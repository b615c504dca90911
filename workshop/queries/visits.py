"""Questions about visits: what is offered, what runs, how long a piece takes."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, Q, QuerySet, Sum

from inventory.calculations.coarseness import READY
from inventory.models import Bin, Lot, Material
from products.models import Design
from workshop.calculations.cycles import Spread, spread_of
from workshop.calculations.operations import form_of_yield
from workshop.models import Piece, Visit
from workshop.queries.yields import bins_for


def visit_list() -> QuerySet[Visit]:
    """Return every visit with all that a list row prints."""
    made = Count("pieces", filter=Q(pieces__ended_at__isnull=False))
    related = ("design", "machine__last_polymer", "run", "started_by", "ended_by")
    return Visit.objects.select_related(*related).annotate(made=made).order_by("-id")


def visit_designs() -> QuerySet[Design]:
    """Return the designs of which each visitor can have one piece, the lightest first."""
    designs = Design.objects.filter(made_by="inject", withdrawn_at=None, pieces_per_cycle=1)
    by_piece = designs.filter(tracked=Design.Tracking.PIECE)
    return by_piece.prefetch_related("polymers").order_by("nominal_mass_mg", "name")


def running_piece(visit: Visit) -> Piece | None:
    """Return the piece that is being made, or None."""
    running = visit.pieces.running()
    return running.select_related("lot__polymer", "lot__colour", "lot__bin", "visit").first()


def made_pieces(visit: Visit) -> list[Piece]:
    """Return the pieces that were ended, the first first."""
    related = ("lot__polymer", "lot__colour", "lot__bin", "part__lot", "visit")
    return list(visit.pieces.made().select_related(*related))


def piece_coded(code: str) -> Piece | None:
    """Return the piece of a code that counts: one that was ended."""
    related = ("visit__design", "lot__polymer", "lot__colour", "lot__bin", "part")
    return Piece.objects.made().select_related(*related).filter(code=code).first()


def pieces_by_lot(visit: Visit) -> dict[Lot, list[Piece]]:
    """Return the pieces that were made, by the lot they came from."""
    found = defaultdict(list)
    for piece in made_pieces(visit):
        found[piece.lot].append(piece)
    return dict(found)


def side_bin(lot: Lot, kind: str) -> Bin | None:
    """Return the bin into which offcuts or purging of a lot go best, if one is kept for such."""
    form = form_of_yield("inject", kind, lot.form)
    best = bins_for(Material(lot.polymer, lot.colour, form))[:1]
    return best[0].bin if best and best[0].is_suggested else None


def spoken_for_mg(lot: Lot, besides: Visit | None = None) -> int:
    """Return the nominal mg that pieces of open visits, besides one, took of a lot and its book still holds."""
    taken = Piece.objects.unsettled().filter(lot=lot)
    if besides:
        taken = taken.exclude(visit=besides)
    return taken.aggregate(mg=Sum("nominal_mg"))["mg"] or 0


@dataclass(frozen=True)
class Offer:
    """Plastic from which the next piece can be made; `needs_purge` when the machine worked another."""

    lot: Lot
    needs_purge: bool


def offers_of(visit: Visit) -> list[Offer]:
    """Return what is in stock in bins for the design: known, not held, ready to inject.

    What the machine takes without a purge comes first.
    """
    lots = (
        Lot.objects.open()
        .with_hold()
        .filter(
            kind__in=(Lot.Kind.FILL, Lot.Kind.DELIVERY),
            bin__isnull=False,
            is_held=False,
            form__in=READY,
            polymer__is_rejected=False,
        )
    )
    if allowed := list(visit.design.polymers.all()):
        lots = lots.filter(polymer__in=allowed)
    enough = lots.annotate(mg=F("in_mg") - F("out_mg")).filter(mg__gte=visit.design.nominal_mass_mg)
    found = enough.select_related("polymer", "colour", "bin").order_by(
        "polymer__symbol", "colour__name", "bin__name"
    )
    last = visit.machine.last_polymer
    offers = [Offer(lot, last not in (None, lot.polymer)) for lot in found]
    return sorted(offers, key=lambda offer: offer.needs_purge)


@dataclass(frozen=True)
class Progress:
    """How far a visit has come by a moment: the piece that runs, those made, and their times."""

    running: Piece | None
    made: list[Piece]
    times: Spread | None
    now: datetime

    @property
    def running_s(self) -> float:
        """Seconds since the start of the running piece."""
        since = self.running.started_at if self.running else self.now
        return max(0.0, (self.now - since).total_seconds())


def progress_of(visit: Visit, now: datetime) -> Progress:
    """Return how far a visit has come."""
    made = made_pieces(visit)
    times_s = [(piece.ended_at - piece.started_at).total_seconds() for piece in made]
    return Progress(running_piece(visit), made, spread_of(times_s), now)
