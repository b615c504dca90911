"""Which parts a correction would change: their mass, their make-up, their claim and their mark."""

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction

from inventory.calculations.mixtures import Mixture, is_same, mixtures, origin_lots
from inventory.calculations.traces import allocate
from inventory.models import Posting, Transfer
from inventory.queries.closures import ancestor_edges_of_all, lots_ahead_of
from inventory.queries.drafts import Draft, edges_after
from inventory.queries.foreign_origins import parts_by_key
from inventory.queries.traces import batches
from products.calculations.claims import (
    RecycledContent,
    floor_permille,
    near_fraction,
    recycled_content,
)
from products.calculations.marks import mark_for_shares
from products.models import Part, Passport
from products.queries.fixings import holders_of
from products.queries.parts import part_list
from products.queries.passport_contents import MILLION
from products.queries.stale_passports import MOST_COMPARED, StalePassport, compared

KINDS = 3  # origin class, polymer and colour


@dataclass(frozen=True)
class Worth:
    """What a part is by the book: recycled content, mark, shares as a passport states them, mass in mg."""

    content: RecycledContent
    mark: str
    stated: tuple
    mass_mg: int

    @property
    def recycled(self) -> float:
        """Recycled content from 0 to 1, rounded down to a tenth of a per cent as a claim is."""
        return floor_permille(self.content.recycled) / 1000

    @property
    def said(self) -> tuple:
        """What a passport claims of it."""
        shares = (self.content.post_consumer, self.content.pre_consumer)
        return (*map(floor_permille, shares), bool(self.content.unknown), self.mark)


@dataclass(frozen=True)
class PartChange:
    """A part that would be made of something else, or weigh something else."""

    part: Part
    before: Worth
    after: Worth
    has_passport: bool

    @property
    def changes_claim(self) -> bool:
        """Whether its recycled content or its mark would be another."""
        return self.before.said != self.after.said

    @property
    def changes_mass(self) -> bool:
        """Whether it would weigh something else."""
        return self.before.mass_mg != self.after.mass_mg


def part_changes(draft: Draft, reached: set[int]) -> list[PartChange]:
    """Return the parts that a draft would change, those whose claim changes first, the newest first.

    What changes by less than the millionths that a passport states is no change.
    """
    parts = parts_of(reached)
    lots = [part.lot_id for part in parts]
    old_edges, new_edges = ancestor_edges_of_all(lots), edges_after(draft, lots)
    kinds = kinds_of(draft, origin_lots(old_edges) | origin_lots(new_edges))
    old, new = mixtures(old_edges, kinds), mixtures(new_edges, kinds)
    delta, worths = draft.delta(), {}
    rows = []
    with_passport = {pk for some in batches(part.pk for part in parts) for pk in issued(some)}
    for part in parts:
        before, after = old[part.lot_id], new.get(part.lot_id)
        more_mg = delta.get(part.lot_id, (0, 0))[0]
        if after is None or (is_same(before, after) and not more_mg):
            continue
        was = worth_of(before, part.lot.in_mg, worths)
        now = worth_of(after, part.lot.in_mg + more_mg, worths)
        if was != now:
            rows.append(PartChange(part, was, now, part.pk in with_passport))
    return sorted(rows, key=lambda row: (not row.changes_claim, -row.part.pk))


def stale_after(postings: list[Posting]) -> list[StalePassport]:
    """Return the parts ahead of some postings, and what holds them, whose newest passport is stale.

    The newest part first.
    """
    ends = Transfer.objects.filter(posting__in=postings, target__isnull=False)
    ahead = lots_ahead_of(set(ends.values_list("target", flat=True)))
    parts = {part.pk for part in parts_of(ahead)} | holders_of(ahead)
    with_one = {pk for some in batches(parts) for pk in issued(some)}
    chosen = sorted(with_one, reverse=True)[:MOST_COMPARED]
    return compared(part_list().filter(pk__in=chosen).order_by("-pk"))


def parts_of(reached: set[int]) -> list[Part]:
    """Return the parts that were made, of some lots, with their mass and what names them and no more."""
    named = ("code", "design__name", "lot__in_mg")
    rows = Part.objects.made().select_related("design", "lot").only(*named)
    return [part for some in batches(reached) for part in rows.filter(lot__in=some)]


def issued(parts: list[int]) -> list[int]:
    """Return those of some parts that have a passport, by primary key."""
    return Passport.objects.filter(part__in=parts).values_list("part", flat=True).distinct()


def kinds_of(draft: Draft, origins: set[int]) -> dict[int, Mixture]:
    """Return the shares of (origin class, polymer, colour) of lots from outside.

    A gain that a draft would make is unknown.
    """
    kinds = {pk: {("unknown", "", ""): 1.0} for pk in origins if pk < 0}
    for pk, parts in parts_by_key(pk for pk in origins if pk > 0).items():
        kinds[pk] = mixture = {}
        for facts, share in parts:
            kind = (facts.origin_class, facts.symbol, facts.colour)
            mixture[kind] = mixture.get(kind, 0.0) + float(share)
    return kinds


def worth_of(mixture: Mixture, mass_mg: int, known: dict) -> Worth:
    """Return what a mixture is worth; parts of one charge are reckoned once."""
    key = tuple(sorted(mixture.items()))
    if key not in known:
        known[key] = (content_of(mixture), mark_of(mixture), stated(mixture))
    return Worth(*known[key], mass_mg)


def stated(mixture: Mixture) -> tuple:
    """Return shares by origin class, polymer and colour as a passport states them, in millionths."""
    axes = []
    for place in range(KINDS):
        sums = defaultdict(float)
        for kind, share in mixture.items():
            sums[kind[place]] += share
        axes.append(tuple(sorted(allocate(MILLION, sums).items())))
    return tuple(axes)


def content_of(mixture: Mixture) -> RecycledContent:
    """Return the recycled content of a mixture."""
    masses = {}
    for (origin_class, _symbol, _colour), share in mixture.items():
        masses[origin_class] = masses.get(origin_class, Fraction()) + near_fraction(share)
    return recycled_content(masses)


def mark_of(mixture: Mixture) -> str:
    """Return the mark of a mixture."""
    shares = {}
    for (_origin_class, symbol, _colour), share in mixture.items():
        shares[symbol] = shares.get(symbol, 0.0) + share
    return mark_for_shares(shares).text
