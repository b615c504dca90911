"""How process sheets from another workshop are written: where they came from, and whether they were tried here."""

from decimal import Decimal

from django.utils.http import urlencode
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from products.models.windows import number_in_words
from workshop.models import Machine
from workshop.queries.foreign_sheets import Foreign, ForeignSetting
from workshop.views.setting_rows import spread_said, value_said


def foreign_row(foreign: Foreign, query_of) -> dict:
    """Return a sheet from elsewhere as its card shows it; `query_of` names a sheet of ours."""
    sheet = foreign.sheet
    return {
        "symbol": sheet.polymer.symbol,
        "machine": capfirst(Machine.Kind(sheet.machine_kind).label),
        "limits": limits_said(sheet.limits),
        "told": told_said(foreign),
        "tried": foreign.tried,
        "ours": urlencode({"polymer": sheet.polymer_id}),
        "brought_at": sheet.happened_at,
        "places": [
            (pair.machine.name, query_of(pair.polymer, pair.machine)) for pair in foreign.pairs
        ],
        "settings": [setting_row(each) for each in foreign.settings],
    }


def told_said(foreign: Foreign) -> str:
    """Return on what the sheet rests where it comes from."""
    runs = foreign.sheet.runs
    if foreign.sheet.is_second_hand:
        return _("It was second hand there too: nobody had tried it who passed it on.")
    if not runs:
        return _("No run is told of; somebody chose it there.")
    said = ngettext(
        "It rests on %(n)s run that worked there.",
        "It rests on %(n)s runs that worked there.",
        runs,
    )
    return said % {"n": runs}


def limits_said(limits: dict[str, str]) -> str:
    """Return what the machine there can do at most, each figure with its unit."""
    figures = {name: number_in_words(Decimal(text)) for name, text in limits.items()}
    said = [
        _("%(n)s kN") % {"n": figures["force_kn"]} if "force_kn" in figures else "",
        platen_said(figures),
        _("%(n)s cm³ a shot") % {"n": figures["shot_cm3"]} if "shot_cm3" in figures else "",
        _("%(n)s cm³ in the barrel") % {"n": figures["barrel_cm3"]}
        if "barrel_cm3" in figures
        else "",
    ]
    return ", ".join(filter(None, said))


def platen_said(figures: dict[str, str]) -> str:
    """Return the size of a platen, empty where it is not told."""
    sides = [figures.get(f"platen_{side}_mm") for side in ("length", "width")]
    return (
        _("platen %(length)s × %(width)s mm")
        % {
            "length": sides[0],
            "width": sides[1],
        }
        if all(sides)
        else ""
    )


def setting_row(setting: ForeignSetting) -> dict:
    """Return one line of a sheet from elsewhere, with what was learned of it here."""

    def written(value):
        return value_said(value, setting.name, setting.unit)

    here = setting.here
    return {
        "label": setting.label,
        "value": written(setting.value),
        "rests": rests_said(setting, written),
        "here": f"{written(here.median)}, {spread_said(here, written)}" if here else "",
        "ceiling": setting.fume_above_c if setting.is_above_fume else None,
    }


def rests_said(setting: ForeignSetting, written) -> str:
    """Return whether a setting was chosen or learned there, and its spread."""
    if setting.is_chosen:
        return _("chosen there")
    if not setting.runs:
        return ""
    said = ngettext("%(n)s run there", "%(n)s runs there", setting.runs) % {"n": setting.runs}
    if setting.low is None or setting.high is None:
        return said
    facts = {"low": written(setting.low), "high": written(setting.high), "runs": said}
    return _("half lie between %(low)s and %(high)s; %(runs)s") % facts
