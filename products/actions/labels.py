"""Labels are printed, printed again, voided and replaced; each print stays in the book."""

from collections.abc import Iterable

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from inventory.calculations.codes import new_code
from products.actions.addresses import frozen_for_print
from products.calculations.label_geometry import GridError, check_start
from products.models import Label, LabelGrid, Printing
from products.queries.labels import labels_of, live_labels
from products.queries.things import MOST_THINGS, Thing, found_things


@transaction.atomic
def print_labels(*, things: Iterable[Thing], grid: LabelGrid, act: Act, start: int = 1) -> Printing:
    """Print labels of things onto a grid, from label `start` of the first sheet on.

    A thing's first label carries its own code; after a void one it gets a new code. The first print
    of all freezes the address.

    Refuses `nothing-chosen`, `too-many`, `no-thing`, `start`, `site-url` and `address-frozen`, and
    `reason` when a label that counts was printed before. A repeated UUID changes nothing.
    """
    asked = list(dict.fromkeys(things))
    request = act.request("print labels", things=[str(t) for t in asked], grid=grid.pk, start=start)
    if done := earlier(act, request):
        return outcome_of(done, Printing)
    settled = settle(asked)
    guard_start(grid, start)
    frozen_for_print(act=act)
    known = labels_of(settled)
    live = live_labels(known)
    if any(label.prints for label in live.values()):
        need_reason(act)
    made = [
        Label(code=code_for(thing, known[thing]), made_at=act.at, **named(thing))
        for thing in settled
        if thing not in live
    ]
    live |= dict(zip([t for t in settled if t not in live], write(made), strict=True))
    printing = Printing.objects.create(
        uuid=act.key,
        printed_at=act.at,
        by=act.by,
        grid=grid,
        grid_name=grid.name,
        start=start,
        reason=act.reason,
    )
    in_order = Printing.labels.through
    in_order.objects.bulk_create(
        [in_order(printing=printing, label=live[thing]) for thing in settled]
    )
    subject = f"{len(settled)} on {grid.name}"
    record_change(act=act, subject=subject, request=request, row=printing)
    return printing


def settle(asked: list[Thing]) -> list[Thing]:
    """Return the things to print, each once; refuses none, too many, and what is not there."""
    if not asked:
        raise refusal("nothing-chosen", _("Choose at least one thing to print a label for."))
    if len(asked) > MOST_THINGS:
        sentence = _("These are more than %(most)s labels; print them in several goes.")
        raise refusal("too-many", sentence, most=MOST_THINGS)
    settled = found_things(asked)
    codes = {thing.code for thing in settled}
    missing = [str(thing) for thing in asked if thing.code not in codes]
    if missing:
        sentence = _("Nothing here is called %(thing)s; choose again.")
        raise refusal("no-thing", sentence, thing=", ".join(missing[:3]))
    return list(settled)


def guard_start(grid: LabelGrid, start: int) -> None:
    """Refuse a first label that the sheet does not have."""
    try:
        check_start(grid.geometry, start)
    except GridError:
        sentence = _("Choose a first label from 1 to %(last)s; this sheet has no other.")
        raise refusal("start", sentence, last=grid.capacity) from None


def code_for(thing: Thing, before: list[Label]) -> str:
    """Return the code of a thing's next label: its own for the first, a new one afterwards."""
    return new_code() if before else thing.code


def named(thing: Thing) -> dict:
    """Return the fields of a label that say what it is stuck on."""
    return {"thing": thing.kind, "thing_code": thing.code}


def write(labels: list[Label]) -> list[Label]:
    """Write new labels."""
    return Label.objects.bulk_create(labels)


@transaction.atomic
def void_label(*, label: Label, act: Act) -> Label:
    """Say that a label no longer counts; whoever scans it is told so.

    Refuses `reason` and `void`. A repeated UUID changes nothing.
    """
    request = act.request("void label", label=label)
    if done := earlier(act, request):
        return outcome_of(done, Label)
    label = voided(label, act)
    label.save()
    record_change(act=act, subject=label.code, request=request, row=label)
    return label


@transaction.atomic
def replace_label(*, label: Label, act: Act) -> Label:
    """Void a label and give the thing a new one with a new code, which is to be printed next.

    Refuses `reason` and `void`. A repeated UUID changes nothing.
    """
    request = act.request("replace label", label=label)
    if done := earlier(act, request):
        return outcome_of(done, Label)
    label = voided(label, act)
    label.replaced_by = Label.objects.create(
        code=new_code(), thing=label.thing, thing_code=label.thing_code, made_at=act.at
    )
    label.save()
    record_change(act=act, subject=label.code, request=request, row=label.replaced_by)
    return label.replaced_by


def voided(label: Label, act: Act) -> Label:
    """Return the label as it is now, locked, with what makes it void; it is not saved yet."""
    need_reason(act)
    label = fresh(label)
    if label.voided_at:
        raise refusal("void", _("This label is void already."))
    label.voided_at, label.voided_by, label.void_reason = act.at, act.by, act.reason
    return label
