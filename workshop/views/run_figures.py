"""Yield by design, and gap by machine and by operation: page and spreadsheet."""

from io import StringIO

from django.http import HttpResponse

from inventory.calculations.spreadsheets import line_writer
from inventory.forms.periods import PeriodForm
from inventory.views.access import page, reads
from workshop.calculations.range_charts import range_chart
from workshop.calculations.run_figures import GapRow, YieldRow
from workshop.queries.run_figures import RunReport, run_report

PAGE = "workshop/run_figures/detail.html"


@reads
def detail(request):
    form = PeriodForm(request.GET)
    if not form.is_valid():
        return page(request, PAGE, {"place": "runs"}, form)
    period = form.period()
    report = run_report(period)
    context = {
        "place": "runs",
        "form": form,
        "period": period,
        "report": report,
        "yields": charted(report.by_design, yield_range),
        "machines": charted(report.by_machine, gap_range),
        "operations": charted(report.by_operation, gap_range),
        "query": request.GET.urlencode(),
    }
    return page(request, PAGE, context)


@reads
def download(request):
    form = PeriodForm(request.GET)
    if not form.is_valid():
        return page(request, PAGE, {"place": "runs"}, form)
    period = form.period()
    name = f"runs-{period.start.isoformat()}-{period.last.isoformat()}.csv"
    answer = HttpResponse(run_csv(run_report(period)), content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def yield_range(row: YieldRow) -> tuple[float, float, float]:
    """Return the quartiles and the median of a yield; without quartiles the median alone."""
    spread = row.spread
    low = spread.median if spread.low is None else spread.low
    return low, spread.median, spread.median if spread.high is None else spread.high


def gap_range(row: GapRow) -> tuple[float, float, float]:
    """Return a gap with its expanded uncertainty to both sides, as shares of the charges."""
    return row.share - row.expanded_share, row.share, row.share + row.expanded_share


def charted(rows: list, range_of) -> dict:
    """Return rows with the chart of them; its rows in the same order."""
    chart = range_chart([range_of(row) for row in rows])
    return {"chart": chart, "rows": rows, "drawn": list(zip(rows, chart.ranges, strict=True))}


def run_csv(report: RunReport) -> str:
    """Return every figure, one group of runs a line; masses in mg, shares as decimals."""
    out = StringIO()
    write = line_writer(out)
    write(
        [
            *("group", "name", "runs", "charged_mg", "parts_mg", "gap_mg", "expanded_mg"),
            *("runs_outside", "share", "quartile_1", "median", "quartile_3"),
        ]
    )
    for row in report.by_design:
        masses = [row.loaded_mg, row.parts_mg, "", "", ""]
        write(["yield by design", row.name, row.runs, *masses, *shares(row)])
    for group, rows in (
        ("gap by machine", report.by_machine),
        ("gap by operation", report.by_operation),
    ):
        for row in rows:
            masses = [row.loaded_mg, "", row.gap_mg, round(row.expanded_mg), row.outside]
            write([group, row.name, row.runs, *masses, *shares(row)])
    return out.getvalue()


def shares(row: YieldRow | GapRow) -> list:
    """Return the share of a row, its quartiles and its median, as they go into a spreadsheet."""
    spread = row.spread
    found = (row.share, spread.low, spread.median, spread.high)
    return ["" if share is None else f"{share:.6f}" for share in found]
