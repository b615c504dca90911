"""Process sheets between workshops: what ours tell in a file, and what came from elsewhere, tried here or not."""

from dataclasses import dataclass
from decimal import Decimal

from products.calculations.foreign_sheets import LIMITS, MOST_SETTINGS, MOST_SHEETS, fits, is_timed
from products.calculations.quantities import QUANTITIES
from products.models import Design, ForeignSheet
from workshop.calculations.process_sheets import Middle
from workshop.models import ChosenSetting, Machine
from workshop.queries.process_sheets import (
    Pair,
    ProcessSheet,
    chosen_now,
    is_time,
    learned_in,
    noted_in,
    pairs_of,
    setting_label,
    setting_unit,
    settings_of,
)
from workshop.queries.readings import Ceiling, fume_ceilings

CM3 = 1000  # mm3


@dataclass(frozen=True)
class ForeignSetting:
    """One line of a sheet from elsewhere; `here` is what the sheet that is looked at learned of it."""

    name: str
    value: Decimal
    unit: str
    is_chosen: bool
    runs: int
    low: Decimal | None
    high: Decimal | None
    here: Middle | None
    fume_above_c: int | None

    @property
    def label(self) -> str:
        """What it is called, in the reader's language."""
        return setting_label(self.name)

    @property
    def is_above_fume(self) -> bool:
        """Whether the polymer gives off fumes at it, by the ceiling that holds here now."""
        return self.fume_above_c is not None and self.value > self.fume_above_c


@dataclass(frozen=True)
class Foreign:
    """A sheet from elsewhere, and where in this workshop closed runs of its polymer on such a machine worked."""

    sheet: ForeignSheet
    settings: list[ForeignSetting]
    pairs: list[Pair]

    @property
    def tried(self) -> int:
        """How many closed runs here worked."""
        return sum(len(pair.worked) for pair in self.pairs)


def foreign_sheets(shown: ProcessSheet) -> list[Foreign]:
    """Return all sheets from elsewhere that a design has, beside the sheet that is shown; three queries."""
    rows = list(shown.design.foreign_sheets.select_related("polymer"))
    ceilings = fume_ceilings({row.polymer for row in rows}) if rows else {}
    return [
        Foreign(
            row,
            [
                line_of(each, ceilings[row.polymer], learned_beside(shown, row))
                for each in row.settings
            ],
            pairs_that_tried(row, shown.pairs),
        )
        for row in rows
    ]


def pairs_that_tried(row: ForeignSheet, pairs: list[Pair]) -> list[Pair]:
    """Return where runs of the polymer on a machine of the kind worked here."""
    return [
        pair
        for pair in pairs
        if pair.worked and (pair.polymer, pair.machine.kind) == (row.polymer, row.machine_kind)
    ]


def learned_beside(shown: ProcessSheet, row: ForeignSheet) -> dict[str, Middle]:
    """Return what the shown sheet learned, by setting, where it is of the same polymer and kind of machine."""
    kind = shown.machine.kind if shown.machine else ""
    if (shown.polymer, kind) != (row.polymer, row.machine_kind):
        return {}
    return {each.name: each.learned for each in shown.settings if each.learned}


def line_of(setting: dict, ceiling: Ceiling, learned: dict[str, Middle]) -> ForeignSetting:
    """Return one line of a sheet from elsewhere."""
    name = setting["name"]
    is_heat = name in QUANTITIES and QUANTITIES[name].is_heat
    ends = {end: setting[end] and Decimal(setting[end]) for end in ("low", "high")}
    return ForeignSetting(
        **setting | ends | {"value": Decimal(setting["value"])},
        here=learned.get(name),
        fume_above_c=ceiling.c if is_heat else None,
    )


def told_sheets(design: Design) -> list[dict]:
    """Return the process sheets of a design as a file has them; the number of queries is fixed.

    Own ones first, where runs worked or the lead chose something. What came from elsewhere is passed on as
    second hand while nobody tried it here; once tried, only what was learned here is told.
    """
    _runs, pairs = pairs_of(design)
    chosen = chosen_by_pair(design)
    worked = {(pair.polymer, pair.machine): pair.worked for pair in pairs if pair.worked}
    places = list(dict.fromkeys([*worked, *chosen]))
    noted = noted_in([each.key for found in worked.values() for each in found])
    ceilings = fume_ceilings({polymer for polymer, _machine in places})
    own = []
    for polymer, machine in places:
        place, ceiling_c = (polymer, machine), ceilings[polymer].c
        found = worked.get(place, ())
        learned = learned_in(noted, found, ceiling_c)
        settings = told_settings(design, chosen.get(place, {}), learned, ceiling_c)
        if settings:
            head = {"polymer": polymer.symbol, "machine": machine_told(machine)}
            own.append(head | {"runs": len(found), "is_second_hand": False, "settings": settings})
    passed = design.foreign_sheets.select_related("polymer")
    return (own + [passed_on(row) for row in passed if not pairs_that_tried(row, pairs)])[
        :MOST_SHEETS
    ]


def chosen_by_pair(design: Design) -> dict[tuple, dict[str, ChosenSetting]]:
    """Return what the lead chose and did not drop, by polymer and machine, in one query."""
    groups = {}
    for row in ChosenSetting.objects.filter(design=design).select_related("polymer", "machine"):
        groups.setdefault((row.polymer, row.machine), []).append(row)
    found = {place: chosen_now(rows) for place, rows in groups.items()}
    return {place: rows for place, rows in found.items() if rows}


def told_settings(design: Design, chosen: dict, learned: dict, ceiling_c) -> list[dict]:
    """Return the lines of an own sheet: what was chosen, else what was learned; nothing that fumes."""
    names = dict.fromkeys([*settings_of(design), *learned, *chosen])
    lines = [
        told_choice(chosen[name]) if name in chosen else told_middle(name, learned[name])
        for name in names
        if name in chosen or name in learned
    ]
    return [each for each in lines if may_be_told(each, ceiling_c)][:MOST_SETTINGS]


def may_be_told(line: dict, ceiling_c: int | None) -> bool:
    """Return whether another workshop could read a line, and its polymer stays below the fume ceiling at it."""
    name, value = line["name"], Decimal(line["value"])
    is_heat = name in QUANTITIES and QUANTITIES[name].is_heat
    is_read_alike = is_timed(name) == is_time(name) and fits(name, value)
    return is_read_alike and not (is_heat and ceiling_c and value > ceiling_c)


def told_choice(row: ChosenSetting) -> dict:
    """Return a chosen setting as a file has it; who chose it and why stays here."""
    unit = setting_unit(row.name) or row.unit
    facts = {"name": row.name, "value": plain_text(row.value), "unit": unit, "is_chosen": True}
    return facts | {"runs": 0, "low": None, "high": None}


def told_middle(name: str, middle: Middle) -> dict:
    """Return a learned setting as a file has it: the median and quartiles over the runs."""
    low, high = (None if end is None else plain_text(end) for end in (middle.low, middle.high))
    facts = {"name": name, "value": plain_text(middle.median), "unit": setting_unit(name)}
    return facts | {"is_chosen": False, "runs": middle.runs, "low": low, "high": high}


def plain_text(value: float | Decimal) -> str:
    """Return a figure as a file has it, with two decimals at most."""
    return f"{Decimal(f'{value:.2f}').normalize():f}"


def machine_told(machine: Machine) -> dict[str, str]:
    """Return a machine as a file has it: its kind and what it can do at most, never which one it is."""
    sides = (machine.force_kn, machine.platen_length_mm, machine.platen_width_mm)
    volumes = [mm3 and Decimal(mm3) / CM3 for mm3 in (machine.shot_mm3, machine.barrel_mm3)]
    limits = zip(LIMITS, (*sides, *volumes), strict=True)
    known = {name: f"{Decimal(limit).normalize():f}" for name, limit in limits if limit}
    return {"kind": machine.kind} | known


def passed_on(row: ForeignSheet) -> dict:
    """Return a sheet from elsewhere as a file has it when it is handed on untried."""
    return {
        "polymer": row.polymer.symbol,
        "machine": {"kind": row.machine_kind} | row.limits,
        "runs": row.runs,
        "is_second_hand": True,
        "settings": row.settings,
    }
