"""Counting: a bin is weighed, and the book is corrected to what the scale shows.

What agrees within the uncertainty of both leaves the book as it is: such a difference says
nothing about the material, and booking it would make mass of unknown origin out of noise.
"""

from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import record_change
from inventory.actions.fills import (
    guard_bin_material,
    guard_holds,
    guard_spoken_for,
    new_fill,
    new_gain,
)
from inventory.actions.locks import lock_bins, lock_with_fill
from inventory.actions.lots import hold_what_is_doubtful
from inventory.actions.postings import Line, post
from inventory.actions.refusals import refusal
from inventory.actions.rounds import lock_stop
from inventory.models import (
    Bin,
    Count,
    Lot,
    Posting,
    Reading,
    Stop,
    Transfer,
)
from inventory.queries.counts import Weighing, last_contents, weigh
from inventory.queries.masses import bulk_said

ROLE = Transfer.Role.COUNT


@dataclass(frozen=True)
class Accepted:
    """What somebody saw in the book and accepted: the fill's code (empty for none) and its mg.

    `is_confirmed`: a surprising reading was asked back and is right. `is_last`: what lies in a bin
    that is empty by the book is what it held last.
    """

    lot: str
    book_mg: int
    is_confirmed: bool = False
    is_last: bool = False

    def plain(self) -> dict:
        """Return what a fingerprint needs of it; that it was asked back is no part of the content."""
        return {"lot": self.lot, "book_mg": self.book_mg, "is_last": self.is_last}


@transaction.atomic
def count_bin(
    *, bin: Bin, reading: Reading, accepted: Accepted, act: Act, stop: Stop | None = None
) -> Count:
    """Accept what a scale shows of a bin, alone or as a stop of a round; the book follows it.

    Less leaves the book as count difference; more comes in through a gain of unknown origin.
    Refuses `retired`, `below-tare`, `spoken-for`, `book-changed`, `surprising` unless confirmed, `reason`
    for a correction, `on-hold` for more than a held fill holds, `nothing-booked` for a bin that
    is empty by the book, `round-finished` and `not-on-route`. A repeated UUID changes nothing.
    """
    request = act.request(
        "count", bin=bin, reading=reading, accepted=accepted, stop=stop.pk if stop else None
    )
    if earlier(act, request):
        return Count.objects.get(uuid=act.key)
    lock_stop(stop, bin)
    bin = lock_bins(bin)[bin.pk]
    fill, _others = lock_with_fill(bin)
    guard_reading(bin, reading)
    if fill:
        guard_spoken_for(fill)
    guard_book(bin, fill, accepted)
    weighing = weigh(bin, fill, reading)
    guard_surprise(weighing, accepted)
    posting = correct_book(weighing, accepted, act, request)
    count = write_count(weighing, posting, act, stop)
    if posting is None:
        record_change(act=act, subject=bin.code, request=request, row=count)
    return count


def guard_reading(bin: Bin, reading: Reading) -> None:
    """Refuse a retired bin, and a reading below the tare by more than a step of the scale."""
    if bin.retired_at:
        raise refusal("retired", _("Bin %(bin)s is retired; choose another bin."), bin=bin.name)
    step_mg = reading.scale.resolution_mg if reading.scale else 0
    if reading.shown_mg + step_mg < reading.taken_off_mg(bin):
        raise refusal(
            "below-tare",
            _("This is less than the empty bin weighs; choose net, or have the bin's tare mended."),
        )


def guard_book(bin: Bin, fill: Lot | None, accepted: Accepted) -> None:
    """Refuse when the book is no longer what was shown."""
    now = (fill.code, fill.held_mg) if fill else ("", 0)
    if now != (accepted.lot, accepted.book_mg):
        raise refusal(
            "book-changed",
            _("The book changed meanwhile and now says %(mass)s; look again before you accept."),
            mass=bulk_said(now[1]),
        )


def guard_surprise(weighing: Weighing, accepted: Accepted) -> None:
    """Ask a surprising reading back, once."""
    if weighing.surprise and not accepted.is_confirmed:
        raise refusal("surprising", weighing.question)


def correct_book(weighing: Weighing, accepted: Accepted, act: Act, request: dict) -> Posting | None:
    """Post the difference, or nothing when both agree."""
    verdict = weighing.comparison.verdict
    if verdict == "agrees":
        return None
    need_reason(act)
    found = None
    if verdict == "less":
        lines = [Line(weighing.fill, None, difference(weighing), ROLE)]
    else:
        found, lines = found_in(weighing, accepted, act.at)
    posting = post(
        act=act,
        kind=Posting.Kind.COUNT,
        lines=lines,
        request=request,
        reference=weighing.bin.name,
    )
    if found and weighing.fill is None:
        hold_what_is_doubtful(found, act)
    return posting


def difference(weighing: Weighing):
    """Return the difference as a mass that is known as well as the reading."""
    return replace(weighing.net, mg=weighing.changed_mg)


def found_in(weighing: Weighing, accepted: Accepted, at: datetime) -> tuple[Lot, list[Line]]:
    """Return the lot that takes what only the scale found, and the lines that bring it there."""
    fill = weighing.fill or contents_meant(weighing.bin, accepted)
    guard_holds(fill)
    gain = new_gain(fill.material, at)
    mass = difference(weighing)
    target, lines = fill, []
    if fill.kind != Lot.Kind.FILL or fill.out_mg or not fill.held_mg:
        target = new_fill(weighing.bin, fill.material, at)
    if target is not fill and fill.held_mg:
        lines = [Line(fill, target, weighing.book, Transfer.Role.REMAINDER)]
    return target, [*lines, Line(None, gain, mass, ROLE), Line(gain, target, mass, ROLE)]


def contents_meant(bin: Bin, accepted: Accepted) -> Lot:
    """Return what a bin that is empty by the book held last; refuses `nothing-booked`."""
    last = last_contents(bin)
    if last is None or not accepted.is_last:
        raise refusal(
            "nothing-booked",
            _(
                "The book has nothing in %(bin)s: say that it is what it held last,"
                " or enter the move or delivery that filled it."
            ),
            bin=bin.name,
        )
    guard_bin_material(bin, last.material)
    return last


def write_count(weighing: Weighing, posting: Posting | None, act: Act, stop: Stop | None) -> Count:
    """Write the count itself."""
    return Count.objects.create(
        uuid=act.key,
        bin=weighing.bin,
        lot=weighing.fill,
        stop=stop,
        posting=posting,
        book_mg=weighing.book.mg,
        book_uncertainty_ug=weighing.book.uncertainty_ug,
        shown_mg=weighing.reading.shown_mg,
        tare_mg=weighing.taken_off_mg,
        net_mg=weighing.net.mg,
        scale=weighing.reading.scale,
        uncertainty_ug=weighing.net.uncertainty_ug,
        happened_at=act.at,
        recorded_at=timezone.now(),
        by=act.by,
        role=act.role,
        reason=act.reason,
    )
