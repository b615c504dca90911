"""The page of a run's time, energy and cost."""

from django.utils import timezone
from django.utils.text import capfirst

from inventory.templatetags.quantities import percent
from inventory.views.access import granted, page, reads
from workshop.calculations.bar_charts import bar_chart
from workshop.calculations.work_times import MINUTE_MS
from workshop.forms.meterings import MeteringForm
from workshop.models import Run, Step
from workshop.queries.cost_words import (
    CHANGED_BY,
    WORKED_BY,
    energy_basis,
    energy_said,
    line_said,
    minutes_said,
    number_said,
    sums_said,
    time_rows,
)
from workshop.queries.meterings import meterings_of
from workshop.queries.run_costs import RunAccount, account_of_run, day_of
from workshop.views.runs import named_run

PAGE = "workshop/run_costs/detail.html"


@reads
def detail(request, code):
    run = named_run(code)
    context = cost_page(request, run) | {"form": MeteringForm()}
    return page(request, PAGE, context)


def cost_page(request, run: Run) -> dict:
    """Return all that the page prints but the form of the meter."""
    found, may = account_of_run(run, timezone.now()), granted(request.user)
    return {
        "place": "runs",
        "run": run,
        "may": may,
        "may_meter": may["run_meter"] and not run.is_abandoned,
        "day": day_of(run),
        "meterings": meterings_of(run),
        "account": found,
        **time_part(found),
        **cost_part(found),
    }


def time_part(found: RunAccount) -> dict:
    """Return the times and the energy as the page prints them."""
    time = found.time
    rows = time_rows(time)
    chart = bar_chart([ms / MINUTE_MS for _label, ms in rows])
    said = [{"name": label, "said": minutes_said(ms)} for label, ms in rows]
    return {
        "chart": chart,
        "bars": list(zip(said, chart.bars, strict=True)),
        "ticks": [(tick.x, number_said(tick.value, tick.decimals, "min")) for tick in chart.ticks],
        "times": said,
        "worked": minutes_said(time.worked_ms),
        "worked_by": WORKED_BY[time.basis],
        "slowest": capfirst(Step.Name(time.slowest).label) if time.slowest else "",
        "changeover": minutes_said(time.changeover_ms),
        "changed_by": CHANGED_BY[time.changeover_basis],
        "energy": energy_said(found.energy),
        "energy_basis": energy_basis(found.energy),
        "kwh_per_kg": number_said(found.kwh_per_kg, 2, "kWh/kg"),
    }


def cost_part(found: RunAccount) -> dict:
    """Return the cost as the page prints it."""
    cost = found.cost
    is_partly_priced = cost.known_share is not None and cost.known_share != 1
    return {
        "lines": [line_said(line, cost.currency) for line in cost.lines],
        "sums": sums_said(cost),
        "unpriced": percent(1 - cost.known_share) if is_partly_priced else "",
    }
