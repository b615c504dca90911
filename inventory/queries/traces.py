"""Where a lot came from and where it went.

One query fetches the closure of a lot, then one sweep in topological order shares the
mass out. What a sweep found is remembered, what the lots are called is not.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from django.core.cache import cache
from django.db import connection
from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _

from inventory.calculations.melt_passes import PassFigures, pass_figures
from inventory.calculations.traces import (
    Ordered,
    allocate,
    ordered_back,
    origin_shares,
    pass_distribution,
    topological_order,
    uses,
)
from inventory.models import Lot, Transfer
from inventory.queries.closures import ancestor_edges, descendant_edges
from inventory.queries.custody import MEANINGS, WORDS, custody_of
from inventory.queries.foreign_origins import (
    class_words,
    masses_by,
    parts_by_key,
    passes_before,
    summed_by,
)
from inventory.queries.lots import with_fillers
from inventory.queries.pasts import (
    NOW,
    Past,
    edges_back_then,
    edges_forward_then,
    lot_then,
    lots_then,
    transfers_then,
)

MOST_PASSES = 9  # shown apart; what was melted oftener counts with them
LOTS_AT_ONCE = 50
MANY_LOTS = 500  # that are read together
DAY = 24 * 60 * 60


class Lots:
    """Lots of the rows of one answer, fetched some at a time when a row is first asked for its lot.

    A delivery may be in ten thousand parts, and a page shows fifty: what is not looked
    at is not fetched. Each fetch takes twice as many as the last, so that who reads
    them all asks few times.
    """

    def __init__(self, keys):
        self.places = {pk: place for place, pk in enumerate(keys)}
        self.keys = list(self.places)
        self.found = {}
        self.at_once = LOTS_AT_ONCE

    def __getitem__(self, pk: int) -> Lot:
        if pk not in self.found:
            start = self.places[pk]
            wanted = self.keys[start : start + self.at_once]
            self.found |= lots_by_key([key for key in wanted if key not in self.found])
            self.at_once *= 2
        return self.found[pk]


@dataclass(slots=True)  # thousands are made at once, so not frozen
class Origin:
    """A lot that came from outside, with its share of the lot asked about."""

    pk: int
    share: float
    mass_mg: int
    lots: Lots = field(repr=False, compare=False)

    @property
    def lot(self) -> Lot:
        """The lot itself, with its material and delivery."""
        return self.lots[self.pk]


@dataclass(slots=True)  # thousands may be made at once, so not frozen
class Use:
    """A lot, or with `lot` None an outside fate, that holds some of the lot asked about."""

    pk: int | None
    fate: str
    share: float
    mass_mg: int
    lots: Lots = field(repr=False, compare=False)

    @property
    def lot(self) -> Lot | None:
        """The lot itself, with its material and delivery."""
        return None if self.pk is None else self.lots[self.pk]

    @property
    def fate_label(self):
        """The outside fate in words."""
        return Transfer.Role(self.fate).label if self.fate else ""


class Uses(Sequence):
    """Uses in a given order of their ends: lots by primary key, and outside fates.

    Each is made when it is looked at: a page shows fifty of thousands.
    """

    def __init__(self, ends: list[int | str], amounts: dict, masses: dict, whole_mg: int):
        self.ends, self.amounts, self.masses, self.whole_mg = ends, amounts, masses, whole_mg
        self.lots = Lots(end for end in ends if isinstance(end, int))

    def __len__(self) -> int:
        return len(self.ends)

    def __getitem__(self, place):
        found = self.ends[place]
        return [*map(self.use, found)] if isinstance(place, slice) else self.use(found)

    def use(self, end: int | str) -> Use:
        """Return what is at one end."""
        pk, fate = (end, "") if isinstance(end, int) else (None, end)
        return Use(pk, fate, self.amounts[end] / self.whole_mg, self.masses[end], self.lots)


@dataclass(frozen=True)
class Segment:
    """One segment of a make-up strip; masses in mg, the colour as sRGB or empty."""

    label: str
    share: float
    mass_mg: int
    srgb: str = ""


@dataclass(frozen=True)
class MakeUp:
    """What a lot consists of, by origin class, by colour, by polymer and by melt passes.

    `passes` has the mean, the most and the tails of its melt passes, `custody` the
    chain-of-custody word of ISO 22095.
    """

    by_origin: list[Segment]
    by_colour: list[Segment]
    by_polymer: list[Segment]
    by_passes: list[Segment]
    passes: PassFigures
    custody: str

    @property
    def custody_said(self) -> str:
        """The chain-of-custody word, for people."""
        return WORDS[self.custody]

    @property
    def custody_meaning(self) -> str:
        """What the chain-of-custody word means."""
        return MEANINGS[self.custody]


def passes_swept(pk: int, ordered: Ordered, before: dict | None = None) -> dict[int, float]:
    """Return shares of a lot by melt passes, those before it came here included.

    Where the caller does not say how often lots from outside were melted `before`, one query asks.
    """
    before = passes_before(ordered) if before is None else before
    return pass_distribution(pk, ordered, before, most=MOST_PASSES)


SWEEPS = {"origins": origin_shares, "passes": passes_swept}


def swept_then(lot: Lot, *names: str, past: Past) -> list[dict]:
    """Return the answers of sweeps back from a lot as of a past moment; nothing is remembered."""
    ordered = ordered_back(edges_back_then(lot, past))
    return [SWEEPS[name](lot.pk, ordered) for name in names]


def swept_back(lot: Lot, *names: str, edges: list[tuple] | None = None) -> list[dict]:
    """Return the answers of sweeps back from a lot, remembered for as long as it stays as it is.

    Whoever gave to a lot is sealed, and a posting that filled a sealed lot cannot be
    reversed while what it gave stands. So the shares behind a lot change only when a
    posting fills it or is reversed, and then `filled_by` changes too. What a lot is
    called (colour, polymer, origin class) is not remembered. A correction that reaches
    through sealed lots must change `filled_by` of every lot behind which it changes something.

    Inside a transaction nothing is remembered: it may be rolled back.
    """
    keys = {name: f"{name}/{lot.code}/{lot.filled_by_id}/{lot.in_mg}" for name in names}
    known = {} if connection.in_atomic_block else cache.get_many(keys.values())
    if missing := [name for name in names if keys[name] not in known]:
        ordered = ordered_back(ancestor_edges(lot) if edges is None else edges)
        fresh = {keys[name]: SWEEPS[name](lot.pk, ordered) for name in missing}
        known |= fresh
        if not connection.in_atomic_block:
            cache.set_many(fresh, DAY)
    return [known[keys[name]] for name in names]


def origins_of(lot: Lot, edges: list[tuple] | None = None, *, past: Past = NOW) -> list[Origin]:
    """Return the lots from outside that a lot consists of, largest share first.

    Shares sum to 1 within 1e-9, masses sum to what the lot took to the milligram.
    `edges` are its ancestor edges where the caller has them; `past` asks of a moment before.
    """
    if past:
        lot = lot_then(lot, past)
        (shares,) = swept_then(lot, "origins", past=past)
    else:
        (shares,) = swept_back(lot, "origins", edges=edges)
    masses = allocate(lot.in_mg, shares) if shares else {}
    ranked = sorted(shares, key=lambda pk: (-shares[pk], pk))
    lots = Lots(ranked)
    return [Origin(pk, shares[pk], masses[pk], lots) for pk in ranked]


def uses_of(lot: Lot, *, past: Past = NOW) -> Sequence[Use]:
    """Return who holds some of a lot now, or did at a past moment, and what left the workshop.

    The largest first. Shares sum to 1 within 1e-9, masses sum to what the lot took to the milligram.
    """
    lot = lot_then(lot, past) if past else lot
    if not lot.in_mg:
        return []
    edges, in_mg = edges_forward_then(lot, past) if past else descendant_edges(lot)
    held, gone = uses(lot.pk, edges, in_mg)
    amounts = held | gone  # by primary key, and by fate
    masses = allocate(lot.in_mg, amounts)
    ranked = sorted(sorted(gone) + sorted(held), key=amounts.__getitem__, reverse=True)
    return Uses(ranked, amounts, masses, in_mg[lot.pk])


def batches(keys, size: int = 10_000):
    """Yield keys in order, as many at a time as one statement may name."""
    wanted = sorted(keys)
    for start in range(0, len(wanted), size):
        yield wanted[start : start + size]


def lots_by_key(keys) -> dict[int, Lot]:
    """Return lots with their material and delivery, by primary key.

    Many share what they have in common, so that a polymer is not read anew for each of thousands.
    """
    related = ("polymer", "colour", "bin", "delivery__source")
    found = {}
    for some in batches(keys):
        rows, is_shared = Lot.objects.filter(pk__in=some), len(some) > MANY_LOTS
        rows = rows.prefetch_related(*related) if is_shared else rows.select_related(*related)
        found |= {lot.pk: lot for lot in rows}
    return found


def polymer_shares(lot: Lot) -> dict[str, float]:
    """Return the share of each polymer in a lot, by symbol of the polymers that came in."""
    (shares,) = swept_back(lot, "origins")
    return summed_by(shares, parts_by_key(shares), lambda facts: facts.symbol)


def make_up_of(
    lot: Lot, edges: list[tuple] | None = None, *, of_mg: int | None = None, past: Past = NOW
) -> MakeUp:
    """Return the make-up of a lot by origin class, colour, polymer and melt passes.

    The masses are shares of `of_mg`, or else of all that the lot took; those of origins, colours
    and polymers are sums of what `origins_of` gives each origin. `edges` are its ancestor edges
    where the caller has them; `past` asks of a moment before.
    """
    if past:
        lot = lot_then(lot, past)
        shares, passes = swept_then(lot, "origins", "passes", past=past)
    else:
        shares, passes = swept_back(lot, "origins", "passes", edges=edges)
    parts = parts_by_key(shares)
    began = [each for rows in parts.values() for each, _share in rows]
    colours = {each.colour: each.srgb for each in began}
    classes = class_words()
    total_mg = lot.in_mg if of_mg is None else of_mg
    masses = allocate(total_mg, shares) if shares else {}  # as the list of origins has them

    def segments(name_of):
        sums = masses_by(masses, parts, name_of)
        summed = summed_by(shares, parts, name_of)
        return [Segment(str(name), share, sums[name]) for name, share in summed.items()]

    return MakeUp(
        by_origin=segments(lambda each: classes.get(each.origin_class, each.origin_class)),
        by_colour=strip_colours(segments(lambda each: each.colour), colours),
        by_polymer=segments(lambda each: each.symbol or "?"),
        by_passes=strip(total_mg, {passes_label(n): share for n, share in passes.items()}),
        passes=pass_figures(passes, last=MOST_PASSES),
        custody=custody_of(each.kept for each in began),
    )


def passes_label(count: int) -> str:
    """Return a number of melt passes; the last one stands for all beyond it."""
    return f"{count}+" if count == MOST_PASSES else str(count)


def in_words(make_up: MakeUp) -> MakeUp:
    """Return a make-up with its numbers of melt passes in words."""
    return replace(
        make_up, by_passes=[replace(s, label=passes_in_words(s.label)) for s in make_up.by_passes]
    )


def passes_in_words(label: str) -> str:
    """Return how often something was melted, in words."""
    if label == "0":
        return _("not melted here")
    if label == "1":
        return _("melted once")
    if label.endswith("+"):
        return _("melted %(count)s times or more") % {"count": label[:-1]}
    return _("melted %(count)s times") % {"count": label}


def strip(total_mg: int, shares: dict[str, float]) -> list[Segment]:
    """Return shares as segments whose masses sum to the total."""
    masses = allocate(total_mg, shares) if shares else {}
    return [Segment(str(label), share, masses[label]) for label, share in shares.items()]


def strip_colours(segments: list[Segment], srgb: dict[str, str]) -> list[Segment]:
    """Return segments in the true colours of the material."""
    return [Segment(s.label, s.share, s.mass_mg, srgb.get(s.label, "")) for s in segments]


@dataclass(frozen=True)
class Step:
    """What went into one lot: the lot, and its standing transfers."""

    lot: Lot
    taken: list[Transfer]


def lots_behind(edges: list[tuple]) -> list[int]:
    """Return the primary keys of the lots on the way, each before those it was filled from."""
    filled = {edge[1] for edge in edges}
    return [pk for pk in reversed(topological_order(edges)) if pk in filled]


def steps_into(keys: list[int], *, past: Past = NOW) -> list[Step]:
    """Return what went into each of some lots, in the order of the keys, in two queries."""
    ends = ("source__bin", "source__delivery", "source__polymer", "source__colour")
    rows = transfers_then(past).filter(target__in=keys).select_related("posting", *ends)
    taken = defaultdict(list)
    for row in sorted(rows.order_by(), key=lambda row: row.pk):
        taken[row.target_id].append(row)
    lots = lots_by_key(keys)
    if past:
        lots = {lot.pk: lot for lot in lots_then(lots.values(), past)}
    return [Step(lots[pk], taken[pk]) for pk in keys]


def with_makers(uses: list[Use]) -> list[Use]:
    """Return the uses with the postings that filled their lots at hand, in one query."""
    lots = [use.lot for use in uses if use.lot]
    prefetch_related_objects(lots, "filled_by")
    with_fillers(lots)
    return uses
