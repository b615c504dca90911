"""What an audit file is about: the lots that are asked about, what lies on the way, the entries it names."""

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import QuerySet, Sum
from django.utils.timezone import make_aware

from inventory.models import Change, Lot, Posting, Transfer
from inventory.queries.entries import AT_ONCE, KEY
from inventory.queries.pasts import Past, transfers_then
from inventory.queries.traces import batches
from inventory.queries.walks import (
    TooLong,
    edges_ahead,
    edges_behind,
    lots_of,
    postings_touching,
)
from products.models import Part
from workshop.models import AuditFile, Run
from workshop.queries.audit_questions import Question, design_called, source_called
from workshop.queries.runs import run_numbered

Kind = AuditFile.Kind
BACK, FORWARD, NOT_AT_ALL = "back", "forward", "none"
MOST_EDGES = 200_000  # of a walk, which is kept in memory; a period has no end
MOST_DRAWN = 20_000  # transfers of a picture
COMES_FROM_OUTSIDE = (Lot.Kind.DELIVERY, Lot.Kind.GAIN)
BOTH_ENDS = ("source", "target")
HANDED_ON = (Transfer.Role.CARRIED, Transfer.Role.PIECES)


class Unanswerable(ValueError):  # noqa: N818 (named for what was found)
    """A question that an audit file cannot answer; the first argument is the code of the refusal."""


@dataclass(frozen=True)
class Scope:
    """Lots asked about (mg of each, by key), the transfers on the way, and the entries to be named.

    The keys of entries are in order, eight bytes each, for a period may name very many. The
    transfers of a period are there only where they are few enough to be drawn.
    """

    follows: str
    roots: dict[int, int]
    edges: list[tuple]
    postings: array
    changes: array
    is_drawn: bool = True

    @property
    def total_mg(self) -> int:
        """How much is asked about, in mg."""
        return sum(self.roots.values())


def scope_of(question: Question, known_at: datetime) -> Scope:
    """Return what a question is about, as the book knew it; raises Unanswerable with a code.

    `nothing` when there was nothing of it then, `too-large` when the way is too long.
    """
    scope = SCOPES[question.kind](question, known_at)
    if not (scope.postings or scope.changes):
        raise Unanswerable("nothing")
    return scope


def lot_scope(question: Question, known_at: datetime) -> Scope:
    """Return what lies behind a lot, or ahead of one that came from outside."""
    lot = Lot.objects.filter(code=question.subject).first()
    if lot is None:
        raise Unanswerable("nothing")
    follows = FORWARD if lot.kind in COMES_FROM_OUTSIDE else BACK
    own = postings_touching([lot.pk], known_at=known_at, ends=BOTH_ENDS)
    return walked([lot.pk], follows, known_at, own)


def run_scope(question: Question, known_at: datetime) -> Scope:
    """Return what lies behind the charges of a run, and what they became."""
    run = run_numbered(question.subject)
    if run is None:
        raise Unanswerable("nothing")
    charges = charges_of(run)
    own = postings_touching(charges, known_at=known_at, ends=BOTH_ENDS)
    return walked(charges, BACK, known_at, own, subjects={run.code})


def charges_of(run: Run) -> list[int]:
    """Return the lots of a run's charges by key."""
    return list(run.charges.values_list("lot", flat=True))


def design_scope(question: Question, known_at: datetime) -> Scope:
    """Return what lies behind the parts of a design, of all or of those made on some days."""
    parts = Part.objects.filter(design=design_called(question.subject))
    parts = on_days(parts.filter(made_in__recorded_at__lte=known_at), "made_at", question)
    return walked(keys_of(parts, "lot"), BACK, known_at)


def source_scope(question: Question, known_at: datetime) -> Scope:
    """Return where the deliveries of a source went, of all or of those delivered on some days."""
    source = source_called(question.subject)
    if source is None:
        raise Unanswerable("nothing")
    rows = source.deliveries.filter(lot__isnull=False, lot__filled_by__isnull=False)
    rows = rows.filter(**days("delivered_on", question.since, question.until))
    return walked(keys_of(rows, "lot"), FORWARD, known_at)


def keys_of(rows: QuerySet, name: str = "pk") -> array:
    """Return the keys of one column in the order of the rows' own."""
    keys = rows.order_by("pk").values_list(name, flat=True)
    return array(KEY, keys.iterator(AT_ONCE))


def period_scope(question: Question, known_at: datetime) -> Scope:
    """Return all that happened on some days, whenever it was recorded."""
    postings = in_period(Posting.objects.all(), question, known_at)
    changes = in_period(Change.objects.all(), question, known_at)
    rows = transfers_then(Past(known_at=known_at)).filter(posting__in=postings.order_by())
    ends = rows.filter(source__isnull=False, target__isnull=False).order_by("pk")
    few = ends.values_list("source", "target", "mass_mg", "melted", "role")[: MOST_DRAWN + 1]
    edges = list(few)
    is_drawn = len(edges) <= MOST_DRAWN
    keys = keys_of(postings), keys_of(changes)
    return Scope(NOT_AT_ALL, {}, edges if is_drawn else [], *keys, is_drawn=is_drawn)


def in_period(rows: QuerySet, question: Question, known_at: datetime) -> QuerySet:
    """Return what happened on the days of a question, of what was known."""
    return on_days(rows.filter(recorded_at__lte=known_at), "happened_at", question)


SCOPES: dict[str, Callable[[Question, datetime], Scope]] = {
    Kind.LOT: lot_scope,
    Kind.RUN: run_scope,
    Kind.DESIGN: design_scope,
    Kind.SOURCE: source_scope,
    Kind.PERIOD: period_scope,
}


def on_days(rows: QuerySet, name: str, question: Question) -> QuerySet:
    """Return rows whose moment lies on the days of a question, in the workshop's zone."""
    since = question.since and midnight(question.since)
    until = question.until and midnight(question.until + timedelta(days=1))
    bounds = {f"{name}__gte": since, f"{name}__lt": until}
    return rows.filter(**{key: moment for key, moment in bounds.items() if moment})


def days(name: str, since: date | None, until: date | None) -> dict:
    """Return the filter for a date on some days."""
    bounds = {f"{name}__gte": since, f"{name}__lte": until}
    return {key: day for key, day in bounds.items() if day}


def midnight(day: date) -> datetime:
    """Return the start of a day in the workshop's zone."""
    return make_aware(datetime.combine(day, time.min))


def walked(
    keys: Sequence[int],
    follows: str,
    known_at: datetime,
    own: set[int] | None = None,
    *,
    subjects: set[str] | None = None,
) -> Scope:
    """Return the scope of a walk from some lots, with the changes about any lot on the way."""
    roots = asked_mg(keys, known_at)
    if not roots:
        raise Unanswerable("nothing")
    walk = edges_behind if follows == BACK else edges_ahead
    try:
        edges = walk(list(roots), known_at=known_at, most=MOST_EDGES)
    except TooLong:
        raise Unanswerable("too-large") from None
    lots = lots_of(edges) | roots.keys()
    postings = postings_on_the_way(lots, follows, known_at) | (own or set())
    changes = changes_about(codes_of(lots) | (subjects or set()), known_at)
    found = (array(KEY, sorted(keys)) for keys in (postings, changes))
    return Scope(follows, roots, edges, *found, is_drawn=len(edges) <= MOST_DRAWN)


def postings_on_the_way(lots, follows: str, known_at: datetime) -> set[int]:
    """Return the postings into lots on a way; on a way ahead those out of them too.

    So what each lot took is whole, and anybody can reckon the answer from the entries alone.
    """
    into = postings_touching(lots, known_at=known_at)
    if follows == BACK:
        return into
    return into | postings_touching(lots, known_at=known_at, ends=("source",))


def asked_mg(keys: Sequence[int], known_at: datetime) -> dict[int, int]:
    """Return what some lots had taken, in mg; what one handed on to another of them counts once.

    So does a charge with what it carried into the next one, and a bag with a piece that it gave.
    """
    rows = transfers_then(Past(known_at=known_at)).order_by()
    found, carried = {}, rows.filter(role__in=HANDED_ON)
    for some in batches(keys):
        taken = rows.filter(target__in=some).values_list("target").annotate(mg=Sum("mass_mg"))
        found |= dict(taken)
    for some in batches(keys):
        given = carried.filter(source__in=some).values_list("source", "target", "mass_mg")
        for lot, target, mass_mg in given:
            found[lot] -= mass_mg if target in found else 0
    return {lot: mass_mg for lot, mass_mg in sorted(found.items()) if mass_mg > 0}


def codes_of(keys) -> set[str]:
    """Return the codes of lots."""
    found = set()
    for some in batches(keys):
        found |= {*Lot.objects.filter(pk__in=some).values_list("code", flat=True)}
    return found


def changes_about(subjects, known_at: datetime) -> set[int]:
    """Return the changes about things called so, by key."""
    found = set()
    for some in batches(subjects):
        rows = Change.objects.filter(subject__in=some, recorded_at__lte=known_at)
        found |= {*rows.values_list("pk", flat=True)}
    return found
