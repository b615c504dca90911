"""How the lines of a process sheet are written: values with units, spreads, and on how many runs they rest."""

from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.queries.durations import duration_said
from inventory.queries.masses import mass_said
from inventory.templatetags.quantities import day, percent
from products.models.windows import number_in_words
from workshop.calculations.process_sheets import Middle
from workshop.models import ChosenSetting, Yield
from workshop.queries.process_sheets import (
    ProcessSheet,
    Setting,
    is_time,
    setting_label,
    setting_unit,
)

NO_BREAK = "\N{NO-BREAK SPACE}"
COARSE = 10


def value_said(value: float | Decimal, name: str, unit: str = "") -> str:
    """Return a value of a setting with its unit; a time in minutes and seconds."""
    if is_time(name):
        return duration_said(float(value))
    unit = setting_unit(name) or unit
    places = 1 if abs(value) >= COARSE else 2
    exact = value if isinstance(value, Decimal) else Decimal(f"{value:.{places}f}")
    return f"{number_in_words(exact)}{NO_BREAK}{unit}" if unit else number_in_words(exact)


def runs_said(middle: Middle) -> str:
    """Return on how many runs a figure rests, and that they are few."""
    said = ngettext("%(n)s run", "%(n)s runs", middle.runs) % {"n": middle.runs}
    return _("only %(runs)s, too few to go by") % {"runs": said} if middle.is_few else said


def spread_said(middle: Middle, written) -> str:
    """Return between which figures the middle half of the runs lies, and how many runs there are."""
    if middle.low is None:
        return runs_said(middle)
    facts = {"low": written(middle.low), "high": written(middle.high), "runs": runs_said(middle)}
    return _("half lie between %(low)s and %(high)s; %(runs)s") % facts


def setting_row(setting: Setting) -> dict:
    """Return one line of a sheet."""

    def written(value):
        return value_said(value, setting.name, setting.unit)

    learned, chosen = setting.learned, setting.chosen
    value = chosen.value if chosen else (learned.median if learned else None)
    return {
        "name": setting.name,
        "label": setting.label,
        "value": "–" if value is None else written(value),
        "chosen": chosen_said(chosen) if chosen else "",
        "learned": f"{written(learned.median)}, {spread_said(learned, written)}" if learned else "",
        "spread": spread_said(learned, written) if learned else "",
        "is_few": bool(learned and learned.is_few and not chosen),
        "windows": setting.windows,
        "ceiling": setting.fume_above_c if setting.is_above_fume else None,
    }


def chosen_said(row: ChosenSetting) -> str:
    """Return who chose a setting, when, and why."""
    facts = {"who": row.by.get_username(), "on": day(row.happened_at), "note": row.note}
    return _("chosen by %(who)s, %(on)s: %(note)s") % facts


def share_rows(sheet: ProcessSheet) -> list[tuple[str, str, str]]:
    """Return what a charge became, each kind with its median share and the spread over the runs."""
    labels = dict(Yield.Kind.choices)
    kinds = [kind for kind in labels if kind in sheet.shares]
    return [
        (
            capfirst(labels[kind]),
            percent(sheet.shares[kind].median),
            spread_said(sheet.shares[kind], percent),
        )
        for kind in kinds
    ]


def charge_figure(sheet: ProcessSheet) -> dict:
    """Return what was loaded for one piece."""
    found = sheet.charge_mg
    value = mass_said(round(found.median)) if found else "–"
    return {"value": value, "note": runs_said(found) if found else ""}


def history_entry(row: ChosenSetting) -> dict:
    """Return what was once chosen or dropped as an entry of a timeline."""
    facts = {"setting": setting_label(row.name)}
    if row.is_dropped:
        what = _("%(setting)s: dropped") % facts
    else:
        said = value_said(row.value, row.name, row.unit)
        what = _("%(setting)s: %(value)s") % (facts | {"value": said})
    who = row.by.get_username()
    return {"what": what, "happened_at": row.happened_at, "who": who, "note": row.note}
