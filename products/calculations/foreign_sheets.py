"""Process sheets in the file of a design: settings that worked, as one workshop tells them to another.

A machine is told by its kind and its limits only, so that whoever reads can hold them against a
machine of their own; which machine it was is nobody else's concern. Values are decimal numbers written as
text, in the unit of the quantity; times are in s, words of one's own bring their unit.
"""

from collections.abc import Iterator
from decimal import Decimal

from products.calculations.file_schemas import (
    LINE,
    FileFault,
    decimal,
    many,
    one_of,
    record,
    text,
    whole,
)
from products.calculations.quantities import QUANTITIES, READ_IN, can_be
from products.calculations.sentences import Sentence

CYCLE, STEP = "cycle", "step-"
SECONDS = "s"
LONGEST_S = 100_000  # a day and some hours: common practice
MOST_SHEETS, MOST_SETTINGS, MOST_RUNS = 12, 40, 1000
MOST = Decimal(1_000_000)
# Which kinds of machine make a design, by its operation.
MACHINE_KINDS = {
    "press": ("press",),
    "inject": ("injection",),
    "extrude": ("extruder",),
    "cut": ("cutter",),
    "form": ("forming", "oven"),
}
LIMITS = ("force_kn", "platen_length_mm", "platen_width_mm", "shot_cm3", "barrel_cm3")

WRONG_MACHINE = Sentence("file-machine")
WRONG_SETTING = Sentence("file-setting")
WRONG_FIGURE = Sentence("file-figure")
TWICE = Sentence("file-twice")

VALUE = decimal(7, 2, "-?")
SETTING = record(
    ("name", "value"),
    name=text(60, LINE, 1),
    value=VALUE,
    unit=text(12, LINE),
    is_chosen={"type": "boolean"},
    runs=whole(0, MOST_RUNS),
    low={"anyOf": [{"type": "null"}, VALUE]},
    high={"anyOf": [{"type": "null"}, VALUE]},
)
MACHINE = record(
    ("kind",),
    kind=one_of(*dict.fromkeys(kind for kinds in MACHINE_KINDS.values() for kind in kinds)),
    **dict.fromkeys(LIMITS, decimal(9, 3)),
)
SHEET = record(
    ("polymer", "machine", "settings"),
    polymer=text(40, LINE, 1),
    machine=MACHINE,
    runs=whole(0, MOST_RUNS),
    is_second_hand={"type": "boolean"},
    settings=many(MOST_SETTINGS, SETTING),
)
SHEETS = many(MOST_SHEETS, SHEET)


def may_be_time(value: float | Decimal) -> bool:
    """Return whether a time in seconds can be one of a cycle."""
    return 0 < value <= LONGEST_S


def is_timed(name: str) -> bool:
    """Return whether a setting in a file is a time: a cycle, or a step of one."""
    return name == CYCLE or name.startswith(STEP)


def unit_of(name: str) -> str:
    """Return the unit in which a setting is read or timed; empty for words of one's own.

    >>> unit_of("melt"), unit_of("cycle"), unit_of("dwell before opening")
    ('°C', 's', '')
    """
    if name in QUANTITIES:
        return QUANTITIES[name].unit
    return SECONDS if is_timed(name) else ""


def misplaced_in(document: dict) -> list[FileFault]:
    """Return what cannot be true of the sheets in a document that fits the schema, each at its place.

    >>> setting = {"name": "melt", "value": "9000"}
    >>> sheet = {"polymer": "PP", "machine": {"kind": "injection"}, "settings": [setting]}
    >>> [each.pointer for each in misplaced_in({"made_by": "inject", "process_sheets": [sheet]})]
    ['/process_sheets/0/settings/0/value']
    """
    made_by = document["made_by"]
    return [
        FileFault(f"/process_sheets/{number}/{place}", sentence)
        for number, sheet in enumerate(document.get("process_sheets", ()))
        for place, sentence in _in_sheet(sheet, made_by)
    ]


def _in_sheet(sheet: dict, made_by: str) -> Iterator[tuple[str, Sentence]]:
    if sheet["machine"]["kind"] not in MACHINE_KINDS[made_by]:
        yield "machine/kind", WRONG_MACHINE
    seen = set()
    for number, setting in enumerate(sheet["settings"]):
        name = setting["name"].strip()
        if name in seen:
            yield f"settings/{number}/name", TWICE
        seen.add(name)
        for field, sentence in _in_setting(setting | {"name": name}, made_by):
            yield f"settings/{number}/{field}", sentence


def _in_setting(setting: dict, made_by: str) -> Iterator[tuple[str, Sentence]]:
    name, unit = setting["name"], unit_of(setting["name"])
    if not name or (name in QUANTITIES and name not in READ_IN[made_by]):
        yield "name", WRONG_SETTING
    if unit and setting.get("unit", unit) != unit:
        yield "unit", Sentence("file-other-unit", unit=unit)
    values = {end: Decimal(setting[end]) for end in ("low", "value", "high") if setting.get(end)}
    for field, value in values.items():
        if not fits(name, value):
            yield field, WRONG_FIGURE
    if list(values.values()) != sorted(values.values()):
        yield "value", Sentence("file-order")


def fits(name: str, value: Decimal) -> bool:
    """Return whether a value can be true of a setting at all.

    >>> fits("melt", Decimal(230)), fits("cycle", Decimal(0)), fits("dwell", Decimal(-3))
    (True, False, True)
    """
    if name in QUANTITIES:
        return can_be(name, value)
    return may_be_time(value) if is_timed(name) else abs(value) < MOST
