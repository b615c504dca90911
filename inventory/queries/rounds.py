"""Questions about rounds: their route, what is done, what comes next, and the sum of it."""

from dataclasses import dataclass
from datetime import datetime

from django.db import models
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext_lazy as _

from inventory.models import Bin, Count, Round, Stop
from inventory.queries.counts import count_list, with_counted_at
from inventory.queries.statements import kept

KG = 1_000_000
STATES = {
    "open": _("to do"),
    "agreed": _("agreed"),
    "corrected": _("corrected"),
    "skipped": _("skipped"),
    "retired": _("retired meanwhile"),
}


def route(*, place: str = "", not_since: datetime | None = None) -> list[Bin]:
    """Return the bins in use in the order one walks: by place, then by name.

    With `not_since` only those that were not counted since then.
    """
    bins = with_counted_at(Bin.objects.in_use()).order_by("place", "name")
    if place:
        bins = bins.filter(place=place)
    return list(bins.filter(counted_since__lt=not_since) if not_since else bins)


@dataclass(frozen=True)
class StopRow:
    """One stop with its newest standing count; a count that was reversed leaves it to be done."""

    stop: Stop
    count: Count | None
    was_reversed: bool

    @property
    def bin(self) -> Bin:
        """The bin to be counted."""
        return self.stop.bin

    @property
    def state(self) -> str:
        """Open, agreed, corrected, skipped or retired."""
        if self.count:
            return self.count.state
        if self.stop.skipped_at:
            return "skipped"
        return "retired" if self.bin.retired_at else "open"

    @property
    def state_label(self):
        """Its state in words."""
        return STATES[self.state]

    @property
    def by(self):
        """Who counted or skipped it, or None."""
        return self.count.by if self.count else self.stop.skipped_by

    @property
    def at(self) -> datetime | None:
        """When it was counted or skipped."""
        return self.count.happened_at if self.count else self.stop.skipped_at

    @property
    def reason(self) -> str:
        """Why it was skipped or corrected."""
        return self.count.reason if self.count else self.stop.skip_reason


@dataclass(frozen=True)
class Progress:
    """Everything about a round; masses in mg."""

    round: Round
    rows: list[StopRow]

    def of(self, *states: str) -> list[StopRow]:
        """Return the stops in some states."""
        return [row for row in self.rows if row.state in states]

    @property
    def total(self) -> int:
        """Stops on the route."""
        return len(self.rows)

    @property
    def left(self) -> list[StopRow]:
        """Stops still to do."""
        return self.of("open")

    @property
    def done(self) -> int:
        """Stops that need nobody any more."""
        return self.total - len(self.left)

    @property
    def agreed(self) -> int:
        """Bins that agreed with the book."""
        return len(self.of("agreed"))

    @property
    def corrected(self) -> int:
        """Bins whose book was corrected."""
        return len(self.of("corrected"))

    @property
    def skipped(self) -> int:
        """Bins that were passed over."""
        return len(self.of("skipped"))

    @property
    def differences_mg(self) -> list[int]:
        """What each correction booked, with its sign."""
        return [row.count.difference_mg for row in self.of("corrected")]

    @property
    def more_mg(self) -> int:
        """What came into the book."""
        return sum(mg for mg in self.differences_mg if mg > 0)

    @property
    def less_mg(self) -> int:
        """What left the book, as a mass above zero."""
        return -sum(mg for mg in self.differences_mg if mg < 0)

    @property
    def net_mg(self) -> int:
        """What the round changed in the book altogether."""
        return sum(self.differences_mg)

    def next_for(self, user) -> StopRow | None:
        """Return where somebody goes next: on from their own last stop, and round again.

        So two people who begin at different bins do not run into each other.
        """
        mine = [row for row in self.rows if row.at and row.by == user]
        last = max(mine, key=lambda row: row.at).stop.position if mine else 0
        ahead = [row for row in self.left if row.stop.position > last]
        return next(iter([*ahead, *self.left]), None)


def progress_of(walk: Round) -> Progress:
    """Return all stops of a round with what became of each, in two queries."""
    standing, reversed_ = {}, set()
    for count in count_list().filter(stop__round=walk).order_by("pk"):
        if count.is_reversed:
            reversed_.add(count.stop_id)
        else:
            standing[count.stop_id] = count
    stops = walk.stops.select_related("bin", "skipped_by")
    rows = [StopRow(stop, standing.get(stop.pk), stop.pk in reversed_) for stop in stops]
    return Progress(walk, rows)


def round_list() -> QuerySet[Round]:
    """Return every round, newest first, with its number of stops and of those done."""
    counted = Count.objects.standing().filter(stop=OuterRef("pk"))
    done = Stop.objects.filter(
        Exists(counted) | Q(skipped_at__isnull=False) | Q(bin__retired_at__isnull=False)
    )
    rounds = Round.objects.select_related("started_by", "finished_by").annotate(
        total=models.Count("stops"), done=models.Count("stops", filter=Q(stops__in=done))
    )
    return rounds.order_by("-pk")


def stop_of(walk: Round, bin: Bin) -> Stop | None:
    """Return the stop of a round at a bin."""
    return walk.stops.select_related("round", "bin").filter(bin=bin).first()


def stop_waiting(bin: Bin) -> Stop | None:
    """Return the stop at a bin that the newest open round still waits for."""
    for stop in stops_open(bin.pk):  # mostly none, so what was counted is asked only here
        if not Count.objects.standing().filter(stop=stop).exists():
            return stop
    return None


@kept
def stops_open(bin: int) -> QuerySet[Stop]:
    """The stops of open rounds at a bin, those of the newest round first."""
    stops = Stop.objects.filter(bin=bin, round__finished_at=None).select_related("round")
    return stops.order_by("-round_id")


def summary_rows(progress: Progress) -> list[list[str]]:
    """Return a round as rows of a table with a heading, for a spreadsheet; masses in kg to the mg."""
    heading = [
        *("stop", "place", "bin", "code", "state", "book_kg", "scale_kg", "difference_kg"),
        *("tolerance_kg", "scale", "by", "at", "reason", "posting"),
    ]
    return [heading, *(summary_row(row) for row in progress.rows)]


def summary_row(row: StopRow) -> list[str]:
    """Return the cells of one stop."""
    count = row.count
    figures = ["", "", "", "", ""]
    if count:
        masses = (count.book_mg, count.net_mg, count.difference_mg, round(count.expanded_mg))
        figures = [*(f"{mg / KG:.6f}" for mg in masses), str(count.scale or "")]
    bin = row.bin
    return [
        *(str(row.stop.position), bin.place, bin.name, bin.code, row.state),
        *figures,
        row.by.get_username() if row.by else "",
        row.at.isoformat(timespec="seconds") if row.at else "",
        row.reason,
        count.posting.number if count and count.posting else "",
    ]
