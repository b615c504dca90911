"""Questions about passports: what a part is made of, which versions there are, what its label is."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from django.db.models import QuerySet
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from inventory.calculations.exact_shares import exact_shares, near_shares
from inventory.calculations.traces import (
    Ordered,
    ordered_back,
    pass_distribution,
)
from inventory.models import Posting
from inventory.queries.closures import ancestor_edges_of_all
from inventory.queries.custody import custody_of
from inventory.queries.foreign_origins import Parts, parts_by_key, passes_before, summed_by
from inventory.queries.traces import MOST_PASSES
from products.models import Part, Passport
from products.queries.labels import labels_of, live_labels
from products.queries.things import PART, Thing

MOST_EXACT = 600  # lots on the way; whole fractions of more take too long


@dataclass(frozen=True)
class PartMakeUp:
    """What a part consists of: shares that sum to 1, the largest first; passes by number.

    `custody` is the chain-of-custody word of ISO 22095, empty where nothing is known.
    """

    by_origin: dict[str, Fraction]
    by_colour: dict[str, Fraction]
    by_polymer: dict[str, Fraction]
    by_passes: dict[int, float]
    srgb: dict[str, str]
    custody: str = ""


def make_ups_of_parts(parts: Iterable[Part]) -> dict[int, PartMakeUp]:
    """Return the make-up of each part, by primary key, in three queries however many parts.

    Parts that took the same share of the same lots, as those of one charge do, are swept once.
    """
    parts = list(parts)
    ordered = ordered_back(ancestor_edges_of_all([part.lot_id for part in parts]))
    alike = {part.pk: takings(part.lot_id, ordered) for part in parts}
    first_of = {taken: part.lot_id for part in parts if (taken := alike[part.pk])}
    is_exact = len(ordered.lots) - len(parts) <= MOST_EXACT
    swept = {taken: origins(lot, ordered, is_exact=is_exact) for taken, lot in first_of.items()}
    began = parts_by_key({lot for shares in swept.values() for lot in shares})
    before = passes_before(ordered)
    found = {
        taken: one_make_up(swept[taken], began, passes_of(lot, ordered, before))
        for taken, lot in first_of.items()
    }
    return {pk: found[taken] for pk, taken in alike.items() if taken}


def takings(lot: int, ordered: Ordered) -> tuple:
    """Return what a lot took as shares of its mass, so that two lots that took alike are equal."""
    taken = ordered.groups.get(lot, ())
    whole = sum(edge[2] for edge in taken)
    shares = [(edge[0], Fraction(edge[2], whole), bool(edge[3])) for edge in taken]
    return tuple(sorted(shares, key=str))


def origins(lot: int, ordered: Ordered, *, is_exact: bool) -> dict[int, Fraction]:
    """Return the share of each lot from outside in a lot, exactly where that is quick enough."""
    return exact_shares(lot, ordered) if is_exact else near_shares(lot, ordered)


def passes_of(lot: int, ordered: Ordered, before: dict) -> dict[int, float]:
    """Return shares by melt passes, those `before` included; the last number stands for all beyond it."""
    return pass_distribution(lot, ordered, before, most=MOST_PASSES)


def one_make_up(shares: dict[int, Fraction], parts: Parts, passes: dict[int, float]) -> PartMakeUp:
    """Return origins summed by class, colour and polymer."""
    began = [each for pk in shares for each, _share in parts[pk]]
    return PartMakeUp(
        by_origin=summed_by(shares, parts, lambda each: each.origin_class),
        by_colour=summed_by(shares, parts, lambda each: each.colour),
        by_polymer=summed_by(shares, parts, lambda each: each.symbol),
        by_passes=passes,
        srgb={each.colour: each.srgb for each in began},
        custody=custody_of(each.kept for each in began),
    )


def last_posting() -> Posting:
    """Return the place that the book stands at."""
    return Posting.objects.order_by("-pk").first()


def passport_list(part: Part) -> QuerySet[Passport]:
    """Return every version of a part's passport, the newest first."""
    return part.passports.select_related("issued_by")


def passport_of(part: Part, version: int | None = None) -> Passport | None:
    """Return one version of a part's passport, without a number the newest, or None."""
    found = passport_list(part)
    return (found if version is None else found.filter(version=version)).first()


def newest_passports(parts: Iterable[Part]) -> dict[int, Passport]:
    """Return the newest passport of each part that has one, by the part's primary key, in one query."""
    rows = Passport.objects.filter(part__in=list(parts)).order_by("version")
    return {passport.part_id: passport for passport in rows}


@dataclass(frozen=True)
class LabelState:
    """The label of a part now: the code that counts, and since when it is on it."""

    code: str
    since: datetime | None
    was_voided: bool

    @property
    def sentence(self) -> str:
        """The state in words."""
        if self.since:
            day = date_format(localtime(self.since), "DATE_FORMAT")
            return _("labelled since %(day)s") % {"day": day}
        if self.was_voided:
            return _("its label was taken out of use, and no new one is printed yet")
        return _("no label printed yet")


def label_state(part: Part) -> LabelState:
    """Return the state of a part's label as it is now; it is no part of the snapshot."""
    thing = Thing(PART, part.code)
    labels = labels_of([thing])
    live = live_labels(labels).get(thing)
    code = live.code if live else part.code
    return LabelState(code, live.made_at if live else None, bool(labels[thing]) and not live)
