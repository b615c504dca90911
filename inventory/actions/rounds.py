"""Rounds: started with a route, bins skipped on the way, finished."""

from dataclasses import asdict, dataclass
from datetime import timedelta

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from inventory.models import Bin, Round, Stop
from inventory.queries.rounds import progress_of, route, stop_of


@dataclass(frozen=True)
class RoundPlan:
    """Which bins a round goes to: a place or everywhere; with days, those not counted for so long."""

    place: str = ""
    days: int = 0
    note: str = ""

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return asdict(self)


@transaction.atomic
def start_round(*, plan: RoundPlan, act: Act) -> Round:
    """Start a round; its route is fixed now, by place and name.

    Other rounds go on as they are. Refuses `no-bins`. A repeated UUID changes nothing.
    """
    request = act.request("start round", plan=plan)
    if done := earlier(act, request):
        return outcome_of(done, Round)
    not_since = act.at - timedelta(days=plan.days) if plan.days else None
    bins = route(place=plan.place, not_since=not_since)
    if not bins:
        raise refusal("no-bins", _("No bin in use is due; choose another place or fewer days."))
    walk = Round.objects.create(
        place=plan.place, note=plan.note, started_at=act.at, started_by=act.by
    )
    stops = [Stop(round=walk, bin=bin, position=place) for place, bin in enumerate(bins, 1)]
    Stop.objects.bulk_create(stops)
    record_change(act=act, subject=walk.number, request=request, row=walk)
    return walk


@transaction.atomic
def skip_bin(*, walk: Round, bin: Bin, act: Act) -> Stop:
    """Pass over a bin of a round with a reason; it may be counted later in the same round.

    Refuses `reason`, `round-finished`, `not-on-route`, and `counted` when it was counted in
    this round. A repeated UUID changes nothing.
    """
    request = act.request("skip", round=walk.pk, bin=bin)
    if done := earlier(act, request):
        return outcome_of(done, Stop)
    need_reason(act)
    stop = lock_stop(stop_on_route(walk, bin), bin)
    if stop.counts.standing().exists():
        raise refusal("counted", _("This bin was counted on this round; go to the next one."))
    skip(stop, act)
    record_change(act=act, subject=walk.number, request=request, row=stop)
    return stop


@transaction.atomic
def finish_round(*, walk: Round, act: Act) -> Round:
    """Finish a round; what is still to do is skipped with the reason given.

    Refuses `round-finished`, and `reason` while something is to do. A repeated UUID
    changes nothing.
    """
    request = act.request("finish round", round=walk.pk)
    if done := earlier(act, request):
        return outcome_of(done, Round)
    walk = fresh(walk)
    guard_open(walk)
    left = progress_of(walk).left
    if left:
        need_reason(act)
    for row in left:
        skip(row.stop, act)
    walk.finished_at, walk.finished_by = act.at, act.by
    walk.save()
    record_change(act=act, subject=walk.number, request=request, row=walk)
    return walk


def skip(stop: Stop, act: Act) -> None:
    """Write down that a stop was passed over."""
    stop.skipped_at, stop.skipped_by, stop.skip_reason = act.at, act.by, act.reason
    stop.save()


def lock_stop(stop: Stop | None, bin: Bin) -> Stop | None:
    """Return a stop as it is now with its round locked; refuses `round-finished` and `not-on-route`.

    The round is locked, and before the bin, so that finishing and counting follow each other.
    """
    if stop is None:
        return None
    guard_open(fresh(stop.round))
    if stop.bin_id != bin.pk:
        raise not_on_route(stop.round, bin)
    return fresh(stop)


def guard_open(walk: Round) -> None:
    """Refuse a finished round."""
    if walk.finished_at:
        raise refusal(
            "round-finished",
            _("Round %(number)s is finished; count the bin by itself, or start a new round."),
            number=walk.number,
        )


def stop_on_route(walk: Round, bin: Bin) -> Stop:
    """Return the stop of a round at a bin; refuses `not-on-route`."""
    if stop := stop_of(walk, bin):
        return stop
    raise not_on_route(walk, bin)


def not_on_route(walk: Round, bin: Bin):
    """Return the refusal of a bin that a round does not go to."""
    return refusal(
        "not-on-route",
        _("Bin %(bin)s is not on round %(number)s; count it by itself."),
        bin=bin.name,
        number=walk.number,
    )
