"""Passports that say of a part what the book no longer says: its make-up was known otherwise then.

Parts are made of what they are made of, but the book may learn better: a reversal or a correction
behind a part, or a lot whose plastic is identified later. And a part may hold others than it did.
The issued version stays; a new one is to be issued.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from inventory.models import Change, Posting, Transfer
from inventory.queries.closures import lots_ahead_of
from products.calculations.passports import changed_figures
from products.models import Part, Passport
from products.queries.fixings import changed_since_passport, holders_of, stated_holdings
from products.queries.parts import part_list
from products.queries.passport_contents import figures_of
from products.queries.passports import make_ups_of_parts, newest_passports

MOST_COMPARED = 2000


@dataclass(frozen=True)
class StalePassport:
    """A part, its newest passport, and which of its figures the book knows otherwise now."""

    part: Part
    passport: Passport
    changed: tuple[str, ...]


def stale_passports(*, most: int = MOST_COMPARED) -> list[StalePassport]:
    """Return the parts whose newest passport is stale, the newest part first.

    Only parts behind which something was undone, corrected or identified, what such parts are in,
    and what was put together otherwise are looked at, the newest of them first, and no more than `most`.
    """
    ahead = lots_ahead_of(lots_known_anew())
    has_passport = Exists(Passport.objects.filter(part=OuterRef("pk")))
    otherwise = changed_since_passport().values("holder")
    known_anew = Q(lot__in=ahead) | Q(pk__in=otherwise) | Q(pk__in=holders_of(ahead))
    parts = part_list().filter(known_anew, has_passport).order_by("-pk")[:most]
    return compared(parts)


def stale_passport(part: Part) -> StalePassport | None:
    """Return what is stale about the newest passport of a part, or None."""
    return next(iter(compared([part])), None)


def compared(parts: Iterable[Part]) -> list[StalePassport]:
    """Return the parts whose newest passport differs from the book now."""
    parts = list(parts)
    newest = newest_passports(parts)
    with_one = [part for part in parts if part.pk in newest]
    make_ups, holdings = make_ups_of_parts(with_one), stated_holdings(with_one)
    looked_at = [
        StalePassport(
            part,
            newest[part.pk],
            changed_figures(
                newest[part.pk].content,
                figures_of(part, make_ups[part.pk], holdings.get(part.pk, ())),
            ),
        )
        for part in with_one
        if part.pk in make_ups
    ]
    return [each for each in looked_at if each.changed]


def lots_known_anew() -> set[int]:
    """Return the primary keys of lots that a reversal, a correction or an identification touched."""
    anew = Posting.objects.filter(Q(reverses__gt=0) | Q(replaces__gt=0))  # few, by their indexes
    ends = Transfer.objects.filter(posting__in=anew.order_by()).values_list("source", "target")
    identified = Change.objects.filter(verb="identify").values_list("row", flat=True)
    return {lot for pair in ends for lot in pair if lot} | set(identified)
