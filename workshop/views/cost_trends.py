"""Time, energy and cost of a design over time: page and spreadsheet."""

from io import StringIO
from math import floor, log10

from django.http import HttpResponse
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from inventory.calculations.currencies import minor_digits
from inventory.calculations.periods import Period, Step
from inventory.calculations.spreadsheets import line_writer
from inventory.queries.prices import money_said
from inventory.templatetags.quantities import percent_to
from inventory.views.access import page, reads
from products.models import Design
from workshop.calculations.cost_trends import COST, KWH, MINUTES, OFFCUT, Saving, TrendRow
from workshop.calculations.range_charts import range_chart
from workshop.forms.cost_trends import CostTrendForm
from workshop.queries.cost_trends import (
    CostTrend,
    cost_trend,
    designs_with_runs,
    figure_text,
    saving_text,
)
from workshop.queries.cost_words import number_said

PAGE, CHOOSE = "workshop/cost_trends/detail.html", "workshop/cost_trends/choose.html"
UNITS = {MINUTES: "min", KWH: "kWh/kg", COST: "", OFFCUT: "share"}
ENDS = ("low", "median", "high")


@reads
def detail(request):
    form = CostTrendForm(request.GET)
    if not form.is_valid():
        return page(request, CHOOSE, {"place": "runs"}, form)
    period, design = form.period(), form.cleaned_data["design"]
    context = {"place": "runs", "form": form, "period": period, "design": design}
    context["query"] = request.GET.urlencode()
    if design is None:
        context["designs"] = designs_with_runs(period)
        return page(request, CHOOSE, context)
    trend = cost_trend(design, period)
    context |= {"trend": trend, "groups": groups_of(trend), "savings": savings_said(trend)}
    context |= neighbours(design, period)
    return page(request, PAGE, context)


@reads
def download(request):
    form = CostTrendForm(request.GET)
    if not form.is_valid() or form.cleaned_data["design"] is None:
        return page(request, CHOOSE, {"place": "runs"}, form)
    period, design = form.period(), form.cleaned_data["design"]
    name = f"costs-{design.pk}-{period.start.isoformat()}-{period.last.isoformat()}.csv"
    text = trend_csv(design, cost_trend(design, period))
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def neighbours(design: Design, period: Period) -> dict:
    """Return the addresses of the same report for the days before and after."""
    address = reverse("workshop:cost-trend")
    return {
        name: f"{address}?design={design.pk}&start={each.start}&end={each.last}"
        for name, each in (("earlier", period.before), ("later", period.after))
    }


def groups_of(trend: CostTrend) -> list[dict]:
    """Return each figure with its heading, its unit, its chart and its table."""
    headings = {
        MINUTES: (_("Minutes a piece"), _("Minutes worked for each piece")),
        KWH: (_("Energy"), _("kWh for each good kilogram")),
        COST: (_("Cost a piece"), _("%(code)s for each piece") % {"code": trend.currency}),
        OFFCUT: (_("Offcut"), _("Offcuts in % of the charge")),
    }
    return [
        group_of(name, *headings[name], named_rows(rows, trend.whole[name]), trend.currency)
        for name, rows in trend.rows.items()
        if rows
    ]


def group_of(name: str, heading: str, unit: str, rows: list, currency: str) -> dict:
    """Return one figure as the page prints it."""
    chart = range_chart([range_of(row) for _said, row in rows])
    said = [
        {"name": label, "runs": row.runs, "least": row.least}
        | {"few": row.spread.low is None}
        | {end: value_said(name, getattr(row.spread, end), currency) for end in ENDS}
        for label, row in rows
    ]
    return {
        "id": name,
        "heading": heading,
        "unit": unit,
        "chart": chart,
        "rows": said,
        "drawn": list(zip(said, chart.ranges, strict=True)),
        "ticks": ticks_said(name, chart.ticks, UNITS[name] or currency),
    }


def named_rows(rows: list, whole: TrendRow) -> list[tuple[str, TrendRow]]:
    """Return the rows of the months by name, and after several that of all of them."""
    named = [(month_said(step), row) for step, row in rows]
    return [*named, (_("All of them"), whole)] if len(named) > 1 else named


def range_of(row: TrendRow) -> tuple[float, float, float]:
    """Return the quartiles and the median of a row; without quartiles the median alone."""
    spread = row.spread
    ends = [spread.median if end is None else end for end in (spread.low, spread.high)]
    return float(ends[0]), float(spread.median), float(ends[1])


def ticks_said(name: str, ticks: list, unit: str) -> list[tuple[float, str]]:
    """Return where each tick of the axis stands and what it says."""
    step = ticks[1].value - ticks[0].value
    digits = max(minor_digits(unit) if name == COST else 0, -floor(log10(step) + 1e-9))
    return [
        (tick.x, percent_to(tick.value, tick.decimals))
        if name == OFFCUT
        else (tick.x, number_said(tick.value, digits, unit))
        for tick in ticks
    ]


def value_said(name: str, value, currency: str) -> str:
    """Return a value of a figure with its unit; a dash where there is none."""
    if value is None:
        return "\N{EN DASH}"
    if name == COST:
        return money_said(value, currency)
    if name == OFFCUT:
        return percent_to(value, 1)
    return number_said(value, 2, UNITS[name])


def month_said(step: Step) -> str:
    """Return the month or year of a step in words."""
    is_year = (step.end - step.start).days > 31  # noqa: PLR2004 (no month is longer)
    return str(step.start.year) if is_year else date_format(step.start, "YEAR_MONTH_FORMAT")


def savings_said(trend: CostTrend) -> list[tuple[str, str]]:
    """Return what a year would save, as pairs of what and how much."""

    def said(saving: Saving) -> str:
        return money_said(saving.amount, trend.currency, is_least=saving.is_least)

    found = trend.savings
    return [
        (_("One minute a piece"), said(found.minute)),
        (_("One percent of offcut, where it is used again"), said(found.offcut_used_again)),
        (_("One percent of offcut, where it is never used again"), said(found.offcut_lost)),
    ]


def trend_csv(design: Design, trend: CostTrend) -> str:
    """Return every figure of every month, one a line, and then the savings."""
    out = StringIO()
    write = line_writer(out)
    write(
        [
            *("design", "figure", "unit", "from", "to", "runs", "quartile_1", "median"),
            *("quartile_3", "runs_at_least"),
        ]
    )
    units = UNITS | {COST: trend.currency}
    for name, rows in trend.rows.items():
        for step, row in rows:
            ends = [getattr(row.spread, end) for end in ENDS]
            values = [figure_text(name, end, trend.currency) or "" for end in ends]
            days = [step.start.isoformat(), step.last.isoformat()]
            write([design.name, name, units[name], *days, row.runs, *values, row.least])
    for name, saving in vars(trend.savings).items():
        words = ["", "", "", "", saving_text(saving, trend.currency), "", int(saving.is_least)]
        write([design.name, f"saved a year: {name}", trend.currency, *words])
    return out.getvalue()
