"""The mass flows of a period as a table for other programs: exact mg, and the same in kg."""

from collections.abc import Iterator
from io import StringIO

from inventory.calculations.flows import Balance
from inventory.calculations.masses import format_mass
from inventory.calculations.periods import Step
from inventory.calculations.spreadsheets import line_writer
from products.queries.flow_tables import Report

HEAD = ["from", "to", "place", "polymer", "colour", "line", "direction", "mass_mg", "mass_kg"]


def flow_csv(report: Report) -> str:
    """Return every line of every material in every place, step by step.

    For each step, place and material: opening + in - out = closing.
    """
    out = StringIO()
    write = line_writer(out)
    for line in (HEAD, *account_lines(report), *use_lines(report)):
        write(line)
    return out.getvalue()


def account_lines(report: Report) -> Iterator[list]:
    """Yield the lines of each account, step by step."""
    wanted = report.flow.material
    for part in report.steps:
        days = days_of(part.steps[0])
        found = part.by_account()
        for material, name in report.names.items():
            for account in found:
                if account.material == material and wanted in (None, material):
                    facts = [*days, account.place, name.polymer, name.colour]
                    yield from ([*facts, *line] for line in balance_lines(found[account]))


def balance_lines(balance: Balance) -> list[list]:
    """Return line, direction and mass of a balance; nothing for an account that stayed empty."""
    if balance.is_empty:
        return []
    return [
        ["at the start", "opening", *masses(balance.opening_mg)],
        *([line, "in", *masses(mg)] for line, mg in balance.ins.items()),
        *([line, "out", *masses(mg)] for line, mg in balance.outs.items()),
        ["at the end", "closing", *masses(balance.closing_mg)],
    ]


def use_lines(report: Report) -> Iterator[list]:
    """Yield what was in use, what was handed over and what came back, by material."""
    period, in_use = report.flow.period, report.in_use
    whole = days_of(Step(period.start, period.end))
    for rows, line, direction in (
        (in_use.opening, "in use at the start", "opening"),
        (in_use.out, "handed over", "in"),
        (in_use.back, "returned", "out"),
        (in_use.closing, "in use at the end", "closing"),
    ):
        for (step, material), handed in sorted(rows.items(), key=str):
            days = days_of(report.flow.steps[step]) if direction in {"in", "out"} else whole
            name = report.names[material]
            facts = [*days, "in use", name.polymer, name.colour, line, direction]
            yield [*facts, *masses(handed.mass_mg)]


def days_of(step: Step) -> list[str]:
    """Return the first and the last day of a step."""
    return [step.start.isoformat(), step.last.isoformat()]


def masses(mass_mg: int) -> list:
    """Return a mass in mg and exactly in kg."""
    return [mass_mg, format_mass(mass_mg, "kg", digits=6).split()[0]]
