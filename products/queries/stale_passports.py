"""Passports that say of a part what the book no longer says: its make-up was known otherwise then.

Parts are made of what they are made of, but the book may learn better: a reversal or a correction
behind a part, or a lot whose plastic is identified later. And a part may hold others than it did.
The issued version stays; a new one is to be issued.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Max

from inventory.queries.known_anew import known_anew
from inventory.queries.traces import batches
from products.calculations.passports import changed_figures
from products.models import Fixing, Part, Passport
from products.queries.fixings import changed_since_passport, stated_holdings
from products.queries.parts import part_list
from products.queries.passport_contents import figures_of
from products.queries.passports import make_ups_of_parts, newest_passports

MOST_COMPARED = 2000
UNDER_WAY = timedelta(minutes=5)  # an act that a passport did not see may be dated before it


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
    anew = known_anew()
    asked = {*issued_before(anew), *changed_since_passport().values_list("holder", flat=True)}
    chosen = sorted(asked, reverse=True)[:most]
    return compared(part_list().filter(pk__in=chosen).order_by("-pk"))


def issued_before(anew: dict[int, datetime]) -> Iterator[int]:
    """Yield the parts whose newest passport is older than what the book learned of their lot, by primary key.

    Of a part that is in another, also the other's.
    """
    newest = Passport.objects.order_by().values_list("part").annotate(at=Max("issued_at"))
    for some in batches(anew):
        own = Part.objects.filter(lot__in=some).order_by().values_list("pk", "lot")
        above = Fixing.objects.open().filter(part__lot__in=some).order_by()
        learned = {}
        for part, lot in (*own, *above.values_list("holder", "part__lot")):
            learned[part] = max(learned.get(part, anew[lot]), anew[lot])
        stated = newest.filter(part__in=learned)
        yield from (part for part, at in stated if at < learned[part] + UNDER_WAY)


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
