"""A run from opening to closing: nothing that went into a machine stays unaccounted for."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import record_change
from inventory.actions.locks import fresh, lock_lots
from inventory.actions.postings import Line, post, reverse_posting
from inventory.actions.refusals import refusal
from inventory.models import Basis, Lot, Mass, Posting, Transfer
from inventory.queries.masses import bulk_said
from inventory.queries.statements import kept
from products.models import Design, Operation
from workshop.actions.passports import issue_run_passports
from workshop.actions.planned_sheets import (
    PlannedParts,
    guard_cutting_list,
    guard_sheets,
    note_sheets,
)
from workshop.calculations.operations import KINDS_OF_TOOLING, RULES
from workshop.models import Charge, Machine, Run, Tooling
from workshop.queries.runs import ChargeBalance, charge_balance, closings_of, open_charges


@dataclass(frozen=True)
class RunPlan:
    """What a run is to do, on what, with what, and how much is planned."""

    operation: str
    machine: Machine
    design: Design | None = None
    tooling: Tooling | None = None
    planned_pieces: int | None = None
    settings_note: str = ""
    note: str = ""
    sheets: PlannedParts = ()
    cutting_list: str = ""

    @property
    def fields(self) -> dict:
        """What the row of the run has of it."""
        names = {name: getattr(self, name) for name in self.__dataclass_fields__}
        return {name: value for name, value in names.items() if name != "sheets"}

    def plain(self) -> dict:
        """Return what a fingerprint needs of it; sheets and a cutting list only where there are any."""
        facts = {
            name: value if value is None or isinstance(value, int) else str(value)
            for name, value in self.fields.items()
            if value or name != "cutting_list"
        }
        sheets = {part.code: pieces for part, pieces in self.sheets}
        return facts | ({"sheets": sheets} if sheets else {})


@transaction.atomic
def open_run(*, plan: RunPlan, act: Act) -> Run:
    """Open a run on a machine.

    Refuses `wrong-machine`, `needs-design` and `wrong-operation` when machine or design
    do not suit the operation, what `guard_kind` and `guard_tooling` do, and what
    `guard_sheets` does for sheets that it is opened for, `no-plan` for a cutting list that is no
    plan here. A repeated UUID changes nothing.
    """
    request = act.request("open run", plan=plan)
    if earlier(act, request):
        return Run.objects.get(uuid=act.key)
    guard_plan(plan)
    guard_cutting_list(plan.operation, plan.cutting_list)
    guard_sheets(plan.operation, plan.sheets)
    run = Run.objects.create(uuid=act.key, operator=act.by, opened_at=act.at, **plan.fields)
    note_sheets(run, plan.sheets)
    record_change(act=act, subject=run.code, request=request, row=run)
    return run


def guard_machine(machine: Machine, operation: str) -> None:
    """Refuse `wrong-machine` when the machine is not made for an operation, or is retired."""
    if machine.kind not in RULES[operation].machines or machine.retired_at:
        raise refusal(
            "wrong-machine",
            _("%(machine)s cannot do this; choose a machine made for it."),
            machine=machine.name,
        )


def guard_plan(plan: RunPlan) -> None:
    """Refuse a machine, design or tooling that does not suit the operation."""
    rule = RULES[plan.operation]
    guard_machine(plan.machine, plan.operation)
    if rule.needs_design and plan.design is None:
        raise refusal("needs-design", _("Choose the design that this run makes."))
    if plan.design and (plan.design.made_by != plan.operation or plan.design.withdrawn_at):
        raise refusal(
            "wrong-operation",
            _("%(design)s is not made this way; choose another design or operation."),
            design=plan.design.name,
        )
    if plan.tooling:
        guard_kind(plan.tooling, plan.operation)
        guard_tooling(plan.tooling, plan.design)


def guard_kind(tooling: Tooling, operation: str) -> None:
    """Refuse `wrong-tooling` of a kind that no machine of an operation takes."""
    kinds = KINDS_OF_TOOLING.get(operation, ())
    if tooling.kind in kinds:
        return
    facts = {"tooling": tooling.name, "kind": tooling.get_kind_display()}
    if not kinds:
        sentence = _("%(tooling)s is a %(kind)s, and this operation takes no tooling; choose none.")
        raise refusal("wrong-tooling", sentence, **facts)
    raise refusal(
        "wrong-tooling",
        _("%(tooling)s is a %(kind)s; choose tooling to %(work)s with (%(kinds)s), or none."),
        work=Operation(operation).label,
        kinds=", ".join(str(Tooling.Kind(kind).label) for kind in kinds),
        **facts,
    )


def guard_tooling(tooling: Tooling, design: Design | None) -> None:
    """Refuse `needs-mending`, and `wrong-tooling` where it is meant for none that is made as the design is."""
    if tooling.condition == Tooling.Condition.MEND:
        raise refusal(
            "needs-mending",
            _("%(tooling)s is to be mended before use; choose other tooling."),
            tooling=tooling.name,
        )
    meant = list(tooling.designs.all()) if design else []
    if meant and design.made_by not in {each.made_by for each in meant}:
        raise refusal(
            "wrong-tooling",
            _("%(tooling)s is for %(meant)s; choose tooling for %(design)s, or none."),
            tooling=tooling.name,
            meant=", ".join(each.name for each in meant),
            design=design.name,
        )


def locked_open_run(run: Run) -> Run:
    """Return a fresh row of a run, locked; refuses `run-closed`."""
    (run,) = run_to_lock(run.pk)
    guard_open(run)
    return run


@kept
def run_to_lock(run: int) -> QuerySet[Run]:
    """The run of a primary key with its machine, design and tooling; every tap of the floor asks for it."""
    rows = Run.objects.select_for_update(of=("self",)).filter(pk=run)
    return rows.select_related("machine", "design", "tooling")


def guard_open(run: Run) -> None:
    """Refuse `run-closed`."""
    if run.closed_at:
        raise refusal("run-closed", _("This run is closed; open a new one."))


@transaction.atomic
def close_run(*, run: Run, act: Act) -> Run:
    """Close a run: every charge must be accounted for; its parts get their passports.

    A gap inside the expanded uncertainty of its weighings closes as weighing
    difference. Refuses `gap` outside it unless the act names the loss, `run-closed`,
    and `nothing-made` when nothing was loaded. A repeated UUID changes nothing.
    """
    request = act.request("close run", run=run)
    if earlier(act, request):
        return Run.objects.get(pk=run.pk)
    run = locked_open_run(run)
    charges = list(open_charges(run))
    lock_lots(*(charge.lot for charge in charges))
    if not run.charges.filter(lot__in_mg__gt=0).exists():
        raise refusal(
            "nothing-made", _("Nothing was loaded; abandon the run with a reason instead.")
        )
    lines = [gap_line(charge_balance(charge), act) for charge in open_charges(run)]
    settle(run, charges, [line for line in lines if line], act, request)
    issue_run_passports(run=run, act=act)
    return run


def gap_line(balance: ChargeBalance, act: Act) -> Line | None:
    """Return the line that books a charge's gap, or refuse `gap`."""
    if not balance.yields:
        raise refusal(
            "nothing-made",
            _(
                "Charge %(number)s has yielded nothing; weigh out what it became or abandon the run."
            ),
            number=balance.charge.number,
        )
    if balance.left_mg == 0:
        return None
    if not balance.is_within and not act.reason.strip():
        raise refusal(
            "gap",
            _("%(gap)s are missing and the scales explain only %(allowed)s; say where they went."),
            gap=bulk_said(balance.gap_mg),
            allowed=bulk_said(balance.expanded_mg),
        )
    role = Transfer.Role.DIFFERENCE if balance.is_within else Transfer.Role.LOSS
    return Line(balance.charge.lot, None, Mass(balance.left_mg, Basis.BOOK), role)


def settle(run: Run, charges: list[Charge], lines: list[Line], act: Act, request: dict) -> None:
    """Book what is left, close the charges and the run."""
    if lines:
        kind = Posting.Kind.CLOSE
        post(act=act, kind=kind, lines=lines, request=request, reference=run.reference)
    keys = [charge.lot_id for charge in charges]
    Lot.objects.filter(pk__in=keys).update(closed_at=act.at)
    run.closed_at = act.at
    run.save()
    record_change(act=act, subject=run.code, request=request, row=run)


@transaction.atomic
def abandon_run(*, run: Run, act: Act) -> Run:
    """Stop a run for good, with a reason; whatever is still in the machine is booked out as disposed.

    Refuses `reason` and `run-closed`. A repeated UUID changes nothing.
    """
    request = act.request("abandon run", run=run)
    if earlier(act, request):
        return Run.objects.get(pk=run.pk)
    need_reason(act)
    run = locked_open_run(run)
    charges = list(open_charges(run))
    lots = lock_lots(*(charge.lot for charge in charges))
    lines = [
        Line(lot, None, Mass(lot.held_mg, Basis.BOOK), Transfer.Role.DISPOSED)
        for lot in lots
        if lot.held_mg
    ]
    run.is_abandoned, run.abandon_reason = True, act.reason
    settle(run, charges, lines, act, request)
    return run


@transaction.atomic
def reopen_run(*, run: Run, act: Act) -> Run:
    """Open a closed run again to mend a mistake, with a reason; what the closing booked is reversed.

    Refuses `reason`, and `run-open` when it is open. A repeated UUID changes nothing.
    """
    request = act.request("reopen run", run=run)
    if earlier(act, request):
        return Run.objects.get(pk=run.pk)
    need_reason(act)
    run = fresh(run)
    if not run.closed_at:
        raise refusal("run-open", _("This run is open; work on."))
    charges = run.charges.select_related("lot").filter(lot__closed_at=run.closed_at)
    lots = lock_lots(*(charge.lot for charge in charges))
    Lot.objects.filter(pk__in=[lot.pk for lot in lots]).update(closed_at=None)
    for posting in closings_of(run):
        reverse_posting(posting=posting, act=act.followed_by(str(posting.uuid)))
    run.closed_at, run.is_abandoned, run.abandon_reason = None, False, ""
    run.save()
    record_change(act=act, subject=run.code, request=request, row=run)
    return run
