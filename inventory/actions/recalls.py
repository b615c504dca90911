"""Recalls: putting everything on hold that holds some of certain lots, and lifting it again."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.holds import place_holds
from inventory.actions.locks import hold_still
from inventory.actions.refusals import refusal
from inventory.models import Hold, Lot, Recall
from inventory.queries.closures import lots_ahead_of
from inventory.queries.recalls import Whereabouts, whereabouts
from inventory.queries.traces import batches

MOST_LOTS = 50


@transaction.atomic
def start_recall(*, lots: list[Lot], act: Act, least_permille: int = 0) -> Recall:
    """Put a hold on every lot that holds some of these lots now; holds that stand already stay beside it.

    Refuses `reason`, `lots` when none or too many are named, `share` for one above the
    whole, and `nothing` when nobody holds any of it. A repeated UUID changes nothing.
    """
    codes = sorted({lot.code for lot in lots})
    request = act.request("recall", lots=codes, least_permille=least_permille)
    if done := earlier(act, request):
        return outcome_of(done, Recall)
    need_reason(act)
    guard_recall(codes, least_permille)
    found = standing_still(lots, least_permille)
    if not found.holders:
        raise refusal("nothing", _("Nothing in the workshop or in use holds any of it now."))
    recall = Recall.objects.create(
        uuid=act.key,
        least_permille=least_permille,
        reason=act.reason,
        happened_at=act.at,
        recorded_at=timezone.now(),
        by=act.by,
        role=act.role,
    )
    recall.lots.set(lots)
    recall.holds.set(place_holds([holder.pk for holder in found.holders], act.reason, act))
    record_change(act=act, subject=recall.number, request=request, row=recall)
    return recall


def guard_recall(codes: list[str], least_permille: int) -> None:
    """Refuse a recall that names nothing, too much, or a share that is none."""
    if not 0 < len(codes) <= MOST_LOTS:
        sentence = _("Name between 1 and %(most)s deliveries or lots.")
        raise refusal("lots", sentence, most=MOST_LOTS)
    if not 0 <= least_permille <= 1000:  # noqa: PLR2004 (the whole)
        raise refusal("share", _("The least share lies between 0 and 100\u00a0%."))


def standing_still(lots: list[Lot], least_permille: int) -> Whereabouts:
    """Return who holds some of the lots, with all on the way locked: nothing flows on or back meanwhile."""
    keys = [lot.pk for lot in lots]
    on_the_way = lots_ahead_of(keys)
    while more := more_than_locked(keys, on_the_way):
        on_the_way |= more
    return whereabouts(lots, least_permille=least_permille)


def more_than_locked(keys: list[int], on_the_way: set[int]) -> set[int]:
    """Lock all lots on the way; return those that came onto it before all were locked.

    Where there are some, the locks are given back: such a lot may be older than those that are locked,
    and locked after them it could wait for an act that waits for one of them.
    """
    before = transaction.savepoint()
    hold_still(on_the_way)
    if more := lots_ahead_of(keys) - on_the_way:
        transaction.savepoint_rollback(before)
    else:
        transaction.savepoint_commit(before)
    return more


@transaction.atomic
def lift_recall(*, recall: Recall, act: Act) -> Recall:
    """Lift every hold of a recall that still stands, with one reason.

    Refuses `reason`, and `not-held` when none stands any more. A repeated UUID changes nothing.
    """
    request = act.request("lift recall", recall=recall.number)
    if done := earlier(act, request):
        return outcome_of(done, Recall)
    need_reason(act)
    hold_still(recall.holds.open().values_list("lot", flat=True))
    standing = Hold.objects.select_for_update().filter(recalls=recall, lifted_at=None)
    lifting = {"lifted_at": act.at, "lifted_by": act.by}
    lifting |= {"lifted_role": act.role, "lift_reason": act.reason}
    keys = list(standing.order_by("pk").values_list("pk", flat=True))
    for some in batches(keys):
        Hold.objects.filter(pk__in=some).update(**lifting)
    if not keys:
        raise refusal("not-held", _("All its holds were lifted before; nothing is left to lift."))
    record_change(act=act, subject=recall.number, request=request, row=recall)
    return recall
