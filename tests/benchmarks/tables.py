"""Print figures as text tables, and judge them against what must hold."""

from dataclasses import asdict, dataclass


@dataclass(frozen=True)
class Figure:
    """One measured figure; `holds` is None where nothing is demanded."""

    what: str
    figure: str
    hold: str = ""
    holds: bool | None = None
    note: str = ""

    def row(self) -> list[str]:
        """Return the cells of its row."""
        verdict = {True: "pass", False: "FAIL", None: ""}[self.holds]
        return [self.what, self.figure, self.hold, verdict, self.note]

    plain = asdict


def below(what: str, value: float, most: float, unit: str, note: str = "") -> Figure:
    """Return a figure that must stay below a limit."""
    return Figure(what, f"{value:,.1f} {unit}", f"< {most:g} {unit}", value < most, note)


def above(what: str, value: float, least: float, unit: str, note: str = "") -> Figure:
    """Return a figure that must pass a limit."""
    return Figure(what, f"{value:,.0f} {unit}", f"> {least:g} {unit}", value > least, note)


def table(head: list[str], rows: list[list]) -> str:
    """Return a text table; numbers stand right."""
    cells = [head, *([str(cell) for cell in row] for row in rows)]
    widths = [max(len(row[place]) for row in cells) for place in range(len(head))]
    lines = []
    for row in cells:
        aligned = [
            cell.rjust(width) if cell[:1].isdigit() else cell.ljust(width)
            for cell, width in zip(row, widths, strict=True)
        ]
        lines.append("  ".join(aligned).rstrip())
    lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(lines)
