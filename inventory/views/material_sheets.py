"""The sheet of a polymer: how it is worked, on what each figure rests, and what it must not meet."""

from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from inventory.calculations.own_figures import RULES
from inventory.models import OwnFigure, Polymer
from inventory.queries.material_sheets import LABELS, Line, sheet_of, values_said
from inventory.views.access import granted, page, reads


@reads
def detail(request, symbol):
    polymer = get_object_or_404(
        Polymer.objects.select_related("blend__main", "blend__added"), symbol=symbol
    )
    sheet = sheet_of(polymer)
    context = {
        "place": "none",
        "polymer": polymer,
        "sheet": sheet,
        "blend": getattr(polymer, "blend", None),
        "groups": groups_of(sheet),
        "entries": [entry_of(row) for row in sheet.history],
        "partners": partners_of(sheet),
        "can": granted(request.user),
    }
    return page(request, "inventory/material_sheets/detail.html", context)


def groups_of(sheet) -> list[tuple[str, list[Line], str]]:
    """Return the cards of figures: title, lines, and a sentence above them."""
    return [
        (_("Temperatures to work at"), sheet.windows, ""),
        (_("Drying"), sheet.drying, sheet.need_said),
        (_("Density, shrinkage, stiffness"), sheet.sizes, ""),
        (_("Heat"), sheet.heat, ""),
    ]


def partners_of(sheet) -> list[tuple[str, str, list[str]]]:
    """Return what becomes of other polymers in this one: a word, a sentence and their symbols."""
    said = [
        ("limited", _("A few per cent at most"), _("or with a compatibiliser")),
        ("usable", _("Goes together"), _("only as a blend that the lead allowed")),
        ("apart", _("Keep apart"), _("they do not bond, and the part is weak")),
        ("unknown", _("Not in the chart"), _("keep apart until somebody knows")),
    ]
    found = sheet.partners
    return [(title, why, found[word]) for word, title, why in said if found.get(word)]


def entry_of(row: OwnFigure) -> dict:
    """Return one act on a figure as an entry of a timeline."""
    values = [None if value is None else float(value) for value in (row.low, row.typical, row.high)]
    said = _("back to the reference") if row.is_back else values_said(*values, RULES[row.name].unit)
    what = f"{LABELS[row.name]}: {said}"
    return {"what": what, "happened_at": row.happened_at, "who": row.by, "note": row.note}
