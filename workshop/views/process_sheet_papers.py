"""A process sheet as a spreadsheet: what is known here, then what came from other workshops, marked as theirs."""

from io import StringIO

from inventory.calculations.spreadsheets import line_writer
from workshop.calculations.process_sheets import Middle
from workshop.queries.foreign_sheets import Foreign, ForeignSetting
from workshop.queries.process_sheets import ProcessSheet

HEAD = ["design", "polymer", "machine", "setting", "unit", "chosen", "note", "median"]
HEAD += ["quartile_1", "quartile_3", "runs", "windows", "from"]
HERE = "this workshop"


def sheet_csv(sheet: ProcessSheet, foreign: list[Foreign]) -> str:
    """Return a sheet, one setting a line; times in s, masses in mg, shares as decimals.

    `foreign` are the sheets that came with the design; the last column says whose a line is, and
    whether it was tried here.
    """
    out = StringIO()
    write = line_writer(out)
    write(HEAD)
    head = [sheet.design.name, str(sheet.polymer or ""), str(sheet.machine or "")]
    for line in own_lines(sheet):
        write([*head, *line, HERE])
    for each in foreign:
        place = [sheet.design.name, str(each.sheet.polymer), each.sheet.machine_kind]
        for setting in each.settings:
            write([*place, *foreign_line(setting), whose(each)])
    return out.getvalue()


def own_lines(sheet: ProcessSheet) -> list[list]:
    """Return what was chosen and learned here, from the setting to the windows."""
    lines = []
    for each in sheet.settings:
        chosen = [f"{each.chosen.value:f}", each.chosen.note] if each.chosen else ["", ""]
        windows = "; ".join(f"{beside.window} ({beside.source})" for beside in each.windows)
        lines.append([each.label, each.unit, *chosen, *figures(each.learned), windows])
    for kind, middle in sheet.shares.items():
        lines.append([f"share of {kind}", "", "", "", *figures(middle), ""])
    if sheet.charge_mg:
        lines.append(["charge for one piece", "mg", "", "", *figures(sheet.charge_mg), ""])
    return lines


def foreign_line(setting: ForeignSetting) -> list:
    """Return a setting of another workshop in the same columns; above our fume ceiling its note says so."""
    value = f"{setting.value:f}"
    ceiling = setting.fume_above_c if setting.is_above_fume else None
    note = f"above the fume ceiling of {ceiling} °C: do not set it" if ceiling else ""
    chosen, median = (value, "") if setting.is_chosen else ("", value)
    ends = ["" if end is None else f"{end:f}" for end in (setting.low, setting.high)]
    return [setting.label, setting.unit, chosen, note, median, *ends, setting.runs, ""]


def whose(foreign: Foreign) -> str:
    """Return whose a foreign line is, and whether closed runs here worked at such settings."""
    if foreign.tried:
        return f"another workshop, tried here (closed runs that worked: {foreign.tried})"
    return "another workshop, not tried here"


def figures(middle: Middle | None) -> list:
    """Return a median with its quartiles and runs, as they go into a spreadsheet."""
    if middle is None:
        return ["", "", "", 0]
    ends = (middle.median, middle.low, middle.high)
    return ["" if each is None else f"{each:.6g}" for each in ends] + [middle.runs]
