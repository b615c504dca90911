"""The process desk: the trade's arithmetic, done before the material is cut or heated."""

from django.http import Http404
from django.utils.translation import gettext as _

from inventory.views.access import page, reads
from products.calculations.calculators import BASES, Calculator
from workshop.calculations.catalogue import BY_NAME, by_step
from workshop.forms.calculators import CalculatorForm
from workshop.queries.calculators import (
    Line,
    given_lines,
    note_said,
    output_lines,
    polymer_facts,
)


@reads
def index(request):
    steps = [{"title": _(title), "calculators": found} for title, found in by_step()]
    return page(request, "workshop/calculators/index.html", {"place": "none", "steps": steps})


@reads
def detail(request, slug):
    if (calculator := BY_NAME.get(slug)) is None:
        raise Http404(_("There is no such calculator."))
    asked = any(each.name in request.GET for each in calculator.inputs)
    form = CalculatorForm(calculator, polymer_facts(), request.GET.dict() if asked else None)
    worked = worked_out(calculator, form) if asked and form.is_valid() else None
    context = {"place": "none", "calculator": calculator, "worked": worked}
    context |= {"sources": sources_of(calculator)}
    return page(request, "workshop/calculators/detail.html", context, form)


def worked_out(calculator: Calculator, form: CalculatorForm) -> dict:
    """Return an answer as the page prints it: large figures with their bands, the others, notes, and from what."""
    lines = output_lines(calculator, form.answer)
    ends = {end for each in calculator.outputs for end in each.ends}
    return {
        "main": [line for line in lines if line.is_main],
        "others": [line for line in lines if not line.is_main and is_shown(line, ends)],
        "notes": [note_said(calculator, note) for note in form.answer.notes],
        "given": given_lines(calculator, form.cleaned_data, form.filled),
    }


def is_shown(line: Line, ends: set[str]) -> bool:
    """Return whether a line stands by itself: it has a figure, and is no end of another's band."""
    return line.value is not None and line.name not in ends


def sources_of(calculator: Calculator) -> list[tuple[str, str]]:
    """Return each source with what it rests on."""
    return [(_(each.text), _(BASES[each.basis])) for each in calculator.sources]
