"""Where something bad is now: everything that holds some of certain lots, and what left."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Count, F, Q, QuerySet

from inventory.calculations.traces import allocate, uses_of_all
from inventory.models import Lot, Recall, Transfer
from inventory.queries.closures import descendant_edges
from inventory.queries.traces import Lots, batches

ROUNDING = 1e-6  # permille: a share that is just the least one may be a hair below it in floats


@dataclass(slots=True)  # tens of thousands may be made at once, so not frozen
class Holder:
    """A lot that holds some of what is looked for: how many mg of it, and its share (0 to 1).

    The mass may be 0 mg where less than half a milligram of it is in the lot.
    """

    pk: int
    mass_mg: int
    share: float
    lots: Lots = field(repr=False, compare=False)

    @property
    def lot(self) -> Lot:
        """The lot itself, with its material and delivery."""
        return self.lots[self.pk]


@dataclass(frozen=True)
class Fate:
    """What left the workshop: mg of what is looked for, by where it went."""

    role: str
    mass_mg: int

    @property
    def label(self):
        """Where it went, in words."""
        return Transfer.Role(self.role).label


@dataclass(frozen=True)
class Whereabouts:
    """Everything that holds some of certain lots, the most first, and what left the workshop."""

    holders: list[Holder]
    gone: list[Fate]
    total_mg: int


def whereabouts(lots: Iterable[Lot], *, least_permille: int = 0) -> Whereabouts:
    """Return where the mass of some lots is now, to the milligram.

    A lot of which less than the least share came from them is left out of the rows, not
    out of the total. What an ancestor and its descendant share counts once.
    """
    keys = {lot.pk for lot in lots}
    wanted = list(Lot.objects.filter(pk__in=keys).order_by("pk"))  # as they are now
    edges, in_mg = edges_ahead(wanted)
    held, gone = uses_of_all([lot.pk for lot in wanted], edges, in_mg)
    total_mg = round(sum(held.values()) + sum(gone.values()))
    masses = allocate(total_mg, held | gone) if total_mg else {}
    shares = {pk: held[pk] / mg for pk, mg in held_now(held).items() if mg}  # not emptied meanwhile
    shown = [pk for pk, share in shares.items() if share * 1000 >= least_permille - ROUNDING]
    ranked = sorted(shown, key=lambda pk: (-masses[pk], pk))
    lots = Lots(ranked)
    return Whereabouts(
        holders=[Holder(pk, masses[pk], shares[pk], lots) for pk in ranked],
        gone=sorted((Fate(role, masses[role]) for role in gone), key=lambda each: -each.mass_mg),
        total_mg=total_mg,
    )


def held_now(keys: Iterable[int]) -> dict[int, int]:
    """Return what each of some lots holds in mg, by primary key."""
    found = {}
    for some in batches(keys):
        rows = Lot.objects.filter(pk__in=some).order_by()
        found |= dict(rows.values_list("pk", F("in_mg") - F("out_mg")))
    return found


def edges_ahead(lots: list[Lot]) -> tuple[list[tuple], dict[int, int]]:
    """Return the standing transfers out of some lots and all their descendants, each once, and what each took."""
    by_source, in_mg = {}, {lot.pk: lot.in_mg for lot in lots}
    for lot in lots:
        edges, taken = descendant_edges(lot)
        in_mg |= taken
        known = set(by_source)
        for edge in edges:
            if edge[0] not in known:
                by_source.setdefault(edge[0], []).append(edge)
    return [edge for edges in by_source.values() for edge in edges], in_mg


def recall_list() -> QuerySet[Recall]:
    """Return the recalls, newest first, each with how many holds it placed and how many still stand."""
    open_holds = Count("holds", filter=Q(holds__lifted_at=None), distinct=True)
    counts = {"placed": Count("holds", distinct=True), "standing": open_holds}
    rows = Recall.objects.select_related("by").prefetch_related("lots")
    return rows.annotate(**counts).order_by("-pk")
