"""What the runs that were closed in a period say together; nobody's name is read for it."""

from dataclasses import dataclass

from django.db.models import F, FloatField, Q, Sum
from django.db.models.functions import Cast

from inventory.calculations.periods import Period
from inventory.models import Lot, Transfer
from inventory.queries.flows import midnight
from products.models import Operation
from workshop.calculations.run_figures import (
    GapRow,
    RunFigure,
    YieldRow,
    gap_rows,
    yield_rows,
)
from workshop.models import Charge, Run, Yield
from workshop.queries.runs import STANDING

UG_PER_MG = 1000


@dataclass(frozen=True)
class RunReport:
    """Yield by design, and gap by machine and by operation."""

    runs: int
    by_design: list[YieldRow]
    by_machine: list[GapRow]
    by_operation: list[GapRow]


def run_report(period: Period) -> RunReport:
    """Return the figures of the runs closed in a period, in five queries."""
    figures = run_figures(period)
    labels = {value: str(label) for value, label in Operation.choices}
    return RunReport(
        runs=len(figures),
        by_design=yield_rows(figures, lambda figure: figure.design),
        by_machine=gap_rows(figures, lambda figure: figure.machine),
        by_operation=gap_rows(figures, lambda figure: labels[figure.operation]),
    )


def run_figures(period: Period) -> list[RunFigure]:
    """Return the figures of each run that was closed in a period, without those abandoned.

    The gap is what its closings booked as difference or loss, less what only the scale found; what
    one charge carried into the next is on neither side.
    """
    runs = Run.objects.filter(
        closed_at__gte=midnight(period.start),
        closed_at__lt=midnight(period.end),
        is_abandoned=False,
    ).order_by("pk")
    facts = runs.values_list("pk", "design__name", "machine__name", "operation")
    taken, given, gained = taken_by_run(runs), given_by_run(runs), gained_by_run(runs)
    kept = kept_by_run(runs)
    figures = []
    for pk, design, machine, operation in facts:
        loaded_mg, taken_u2 = taken.get(pk, (0, 0.0))
        parts_mg, missing_mg, given_u2 = given.get(pk, (0, 0, 0.0))
        found_mg, found_in_parts_mg = gained.get(pk, (0, 0))
        figures.append(
            RunFigure(
                design=design or "",
                machine=machine,
                operation=operation,
                loaded_mg=loaded_mg,
                parts_mg=parts_mg + found_in_parts_mg - kept.get(pk, 0),
                gap_mg=missing_mg - found_mg,
                variance_mg2=(taken_u2 + given_u2) / UG_PER_MG**2,
            )
        )
    return figures


def squares(path: str, **only):
    """Return the sum of the squared uncertainties of transfers; as floats, for they outgrow whole numbers."""
    ug = Cast(F(f"{path}__uncertainty_ug"), FloatField())
    return Sum(ug * ug, default=0.0, output_field=FloatField(), **only)


def taken_by_run(runs) -> dict[int, tuple[int, float]]:
    """Return the mg that went into the charges of each run, and the sum of u^2 in ug^2."""
    standing = Q(lot__taken__reverses__isnull=True, lot__taken__reversed_by__isnull=True)
    others = [kind for kind in Lot.Kind.values if kind != Lot.Kind.CHARGE]
    rows = Charge.objects.filter(
        standing, lot__taken__source__kind__in=others, run__in=runs.order_by()
    )
    sums = (
        rows.order_by()
        .values_list("run")
        .annotate(mg=Sum("lot__taken__mass_mg"), u2=squares("lot__taken"))
    )
    return {pk: (int(mg), u2) for pk, mg, u2 in sums}


def given_by_run(runs) -> dict[int, tuple[int, int, float]]:
    """Return the mg of each run that became parts and that went missing, and the sum of u^2 in ug^2."""
    standing = Q(lot__given__reverses__isnull=True, lot__given__reversed_by__isnull=True)
    missing = [Transfer.Role.DIFFERENCE, Transfer.Role.LOSS]
    gone = Q(lot__given__target__isnull=True, lot__given__role__in=missing)
    others = [role for role in Transfer.Role.values if role != Transfer.Role.CARRIED]
    rows = Charge.objects.filter(standing, lot__given__role__in=others, run__in=runs.order_by())
    sums = (
        rows.order_by()
        .values_list("run")
        .annotate(
            parts=Sum(
                "lot__given__mass_mg", filter=Q(lot__given__role=Transfer.Role.PART), default=0
            ),
            gone=Sum("lot__given__mass_mg", filter=gone, default=0),
            u2=squares("lot__given"),
        )
    )
    return {pk: (int(parts), int(mg), u2) for pk, parts, mg, u2 in sums}


def gained_by_run(runs) -> dict[int, tuple[int, int]]:
    """Return the mg that only the scale found at the yields of each run, and those of them in parts."""
    rows = Yield.objects.filter(
        charge__run__in=runs.order_by(), posting__transfers__source__kind=Lot.Kind.GAIN, **STANDING
    )
    sums = (
        rows.order_by()
        .values_list("charge__run")
        .annotate(
            mg=Sum("posting__transfers__mass_mg"),
            parts=Sum("posting__transfers__mass_mg", filter=Q(kind=Yield.Kind.PART), default=0),
        )
    )
    return {pk: (int(mg), int(parts)) for pk, mg, parts in sums}


def kept_by_run(runs) -> dict[int, int]:
    """Return the mg of each run that stayed sheet, as pieces kept: they are not what it was to make."""
    rows = Yield.objects.filter(
        charge__run__in=runs.order_by(),
        kind=Yield.Kind.KEPT,
        posting__transfers__source__kind=Lot.Kind.CHARGE,
        **STANDING,
    )
    sums = (
        rows.order_by().values_list("charge__run").annotate(mg=Sum("posting__transfers__mass_mg"))
    )
    return {pk: int(mg) for pk, mg in sums}
