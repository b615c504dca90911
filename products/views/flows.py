"""The mass flows of a month, a year or some days: page and spreadsheet."""

from django.http import HttpResponse
from django.utils.translation import gettext as _

from inventory.forms.periods import MaterialPeriodForm
from inventory.queries.masses import table_unit
from inventory.views.access import page, reads
from inventory.views.listings import Column, heading, numbered, query_without
from products.queries.flow_tables import BOX_LABELS, report_of, table_of
from products.queries.flow_themes import material_themes, step_themes
from products.views.flow_papers import flow_csv

PER_PAGE = 40
FEWER_DECIMALS_MG = 100_000_000


@reads
def detail(request):
    form = MaterialPeriodForm(request.GET)
    if not form.is_valid():
        return page(request, "products/flows/detail.html", {"place": "trace"}, form)
    period, material = form.period(), form.material()
    report = report_of(period, material)
    materials, lines = table_of(report.material_rows()), table_of(report.step_rows())
    columns = [heading(request, column) for column in material_columns(materials.unit)]
    shown = numbered(request, materials.rows, per_page=PER_PAGE)
    context = {
        "place": "trace",
        "form": form,
        "period": period,
        "material": report.names.get(material),
        "report": report,
        "picture": None if material else named_boxes(report.picture()),
        "places": table_of(report.place_rows()),
        "steps": lines,
        "themes": step_themes(lines.rows, report.steps) if len(report.steps) > 1 else [],
        "materials": materials,
        "material_themes": material_themes(columns, list(shown)),
        "page": shown,
        "query": query_without(request, "page").urlencode(),
        "days": query_without(request, "page", "polymer", "colour").urlencode(),
    }
    return page(request, "products/flows/detail.html", context)


@reads
def download(request):
    form = MaterialPeriodForm(request.GET)
    if not form.is_valid():
        return page(request, "products/flows/detail.html", {"place": "trace"}, form)
    period = form.period()
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    name = f"flows-{period.start.isoformat()}-{period.last.isoformat()}.csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.write(flow_csv(report_of(period, form.material())))
    return answer


def material_columns(unit: str) -> list[Column]:
    """Return the headings of the table of materials; its unit stands in the first."""
    return [Column(_("Material, in %(unit)s") % {"unit": unit})] + [
        Column(label, numeric=True)
        for label in (
            _("At the start"),
            _("Received"),
            _("Found"),
            _("From others"),
            _("Parts made"),
            _("Offcuts back"),
            _("Dust"),
            _("Purging"),
            _("Gone"),
            _("Into others"),
            _("At the end"),
        )
    ]


def named_boxes(picture) -> dict:
    """Return what the template draws: the boxes with their words and masses, and the ribbons between."""
    masses = {}
    for ribbon in picture.ribbons:
        stream = ribbon.stream
        if not stream.is_return:
            masses[stream.source] = masses.get(stream.source, 0) + stream.mass_mg
    for ribbon in picture.ribbons:
        stream = ribbon.stream
        if not stream.is_return and stream.target not in {"bins", "runs"}:
            masses[stream.target] = masses.get(stream.target, 0) + stream.mass_mg
    boxes = [
        {
            "box": box,
            "label": BOX_LABELS[box.key],
            "mass_mg": masses[box.key],
            "places": 1 if masses[box.key] >= FEWER_DECIMALS_MG else None,
            "text_x": box.x + 8,
            "name_y": round(box.middle - 6, 2),
            "mass_y": round(box.middle + 20, 2),
        }
        for box in picture.boxes
    ]
    rows = [
        (BOX_LABELS[ribbon.stream.source], BOX_LABELS[ribbon.stream.target], ribbon.stream.mass_mg)
        for ribbon in picture.ribbons
    ]
    unit = table_unit(mass_mg for *_ends, mass_mg in rows)
    return {"drawing": picture, "boxes": boxes, "rows": rows, "unit": unit}
