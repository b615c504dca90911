"""Pages of process sheets: what worked, choosing a setting and dropping it, and the spreadsheet."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from inventory.models import Polymer
from inventory.views.access import allows, attempt, granted, page, reads
from products.models import Design
from workshop.actions.process_sheets import SheetKey, choose_setting, drop_setting
from workshop.forms.process_sheets import ChooseForm, DropForm, OwnWordsForm
from workshop.models import Machine
from workshop.queries.foreign_sheets import foreign_sheets
from workshop.queries.plans import PLANNED_OPERATIONS
from workshop.queries.process_sheets import (
    ProcessSheet,
    chosen_now,
    chosen_rows,
    process_sheet,
    setting_label,
    setting_unit,
    settings_of,
)
from workshop.views.cautions import sheet_caution
from workshop.views.foreign_sheet_rows import foreign_row
from workshop.views.process_sheet_papers import sheet_csv
from workshop.views.setting_rows import (
    charge_figure,
    history_entry,
    setting_row,
    share_rows,
    value_said,
)

LATEST = 20
MOST_DIGITS = 9


def sheet_asked(request, pk) -> ProcessSheet:
    """Return the sheet of the address; a design, polymer or machine that is not there answers 404."""
    designs = Design.objects.prefetch_related("windows")
    polymer = row_asked(request, Polymer, "polymer")
    return process_sheet(
        get_object_or_404(designs, pk=pk), polymer, row_asked(request, Machine, "machine")
    )


def row_asked(request, model, name: str):
    """Return the row that the query names by its key, None where it names none."""
    key = request.GET.get(name, "")
    if not key:
        return None
    is_number = key.isascii() and key.isdecimal() and len(key) <= MOST_DIGITS
    return get_object_or_404(model, pk=int(key) if is_number else 0)


@reads
def detail(request, pk):
    sheet = sheet_asked(request, pk)
    rows = list(
        chosen_rows(sheet.design, sheet.polymer, sheet.machine)[:LATEST] if sheet.is_named else ()
    )
    context = {
        "place": "products",
        "sheet": sheet,
        "query": query_of(sheet.polymer, sheet.machine),
        "polymers": polymers_beside(sheet),
        "pairs": [pair_row(sheet, pair) for pair in sheet.pairs],
        "chosen": [setting_row(each) for each in sheet.chosen],
        "learned": [setting_row(each) for each in sheet.others],
        "unknown": unknown_settings(sheet),
        "shares": share_rows(sheet),
        "charge": charge_figure(sheet),
        "foreign": [foreign_row(each, query_of) for each in foreign_sheets(sheet)],
        "history": [history_entry(row) for row in rows],
        "caution": sheet_caution(sheet.machine, sheet.polymer) if sheet.is_named else None,
        "planned": PLANNED_OPERATIONS,
        "may": granted(request.user),
    }
    return page(request, "workshop/process_sheets/detail.html", context)


def polymers_beside(sheet: ProcessSheet) -> list[tuple[str, str]]:
    """Return the other polymers of which the design is made, each with the query of its sheet on this machine."""
    known = {pair.polymer for pair in sheet.pairs if pair.machine == sheet.machine}
    found = [each for each in sheet.design.polymers.filter(is_rejected=False) if each not in known]
    return [(each.symbol, query_of(each, sheet.machine)) for each in found if each != sheet.polymer]


def query_of(polymer, machine) -> str:
    """Return the query that names a sheet."""
    return urlencode({"polymer": polymer.pk, "machine": machine.pk}) if polymer and machine else ""


def pair_row(sheet: ProcessSheet, pair) -> dict:
    """Return a polymer on a machine as a choice of the page."""
    is_shown = (pair.polymer, pair.machine) == (sheet.polymer, sheet.machine)
    return {
        "pair": pair,
        "worked": len(pair.worked),
        "query": query_of(pair.polymer, pair.machine),
        "is_shown": is_shown,
    }


def unknown_settings(sheet: ProcessSheet) -> list[tuple[str, str]]:
    """Return the settings of which nothing is known yet, by name with what they are called."""
    known = {setting.name for setting in sheet.settings}
    return [(name, setting_label(name)) for name in settings_of(sheet.design) if name not in known]


@allows("setting.choose")
def choose(request, pk):
    sheet, name = sheet_named(request, pk), request.GET.get("name", "")
    is_known = name in settings_of(sheet.design)
    form = (ChooseForm if is_known else OwnWordsForm)(
        request.POST or None, initial={} if is_known else {"name": name}
    )
    if form.is_valid():
        setting = form.setting(name if is_known else "")
        act, key = form.act(request.user), SheetKey(sheet.design, sheet.polymer, sheet.machine)
        if attempt(form, choose_setting, sheet=key, act=act, **setting):
            sentence = _("%(setting)s stands first now.")
            messages.success(request, sentence % {"setting": setting_label(setting["name"])})
            return redirect(address_of(sheet))
    title = setting_label(name) if is_known else _("Another setting")
    context = context_of(sheet) | {"title": title, "unit": setting_unit(name) if is_known else ""}
    return page(request, "workshop/process_sheets/choose.html", context, form)


@allows("setting.choose")
def drop(request, pk):
    sheet, name = sheet_named(request, pk), request.GET.get("name", "")
    chosen = chosen_now(chosen_rows(sheet.design, sheet.polymer, sheet.machine)).get(name)
    form = DropForm(request.POST or None)
    if form.is_valid():
        act, key = form.act(request.user), SheetKey(sheet.design, sheet.polymer, sheet.machine)
        if attempt(form, drop_setting, sheet=key, name=name, act=act):
            sentence = _("%(setting)s is dropped; what was learned stands first again.")
            messages.success(request, sentence % {"setting": setting_label(name)})
            return redirect(address_of(sheet))
    said = value_said(chosen.value, name, chosen.unit) if chosen else ""
    context = context_of(sheet) | {"title": setting_label(name), "said": said}
    return page(request, "workshop/process_sheets/drop.html", context, form)


def sheet_named(request, pk) -> ProcessSheet:
    """Return the sheet of the address; without a polymer or machine it answers 404."""
    sheet = sheet_asked(request, pk)
    if not sheet.is_named:
        raise Http404(_("The sheet needs a polymer and a machine."))
    return sheet


def context_of(sheet: ProcessSheet) -> dict:
    """Return what the pages that choose and drop print."""
    return {"place": "products", "sheet": sheet, "back": address_of(sheet)}


def address_of(sheet: ProcessSheet) -> str:
    """Return the address of a sheet."""
    url = reverse("workshop:process-sheet", args=[sheet.design.pk])
    return f"{url}?{query_of(sheet.polymer, sheet.machine)}"


@reads
def download(request, pk):
    sheet = sheet_asked(request, pk)
    answer = HttpResponse(
        sheet_csv(sheet, foreign_sheets(sheet)), content_type="text/csv; charset=utf-8"
    )
    name = f"process-sheet-{sheet.design.pk}.csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
