"""The wide tables of a flow, cut by what they tell so that each part fits an upright tablet."""

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from products.queries.flow_tables import BETWEEN, CLOSING, IN, OPENING, OUT, USE, MaterialRow, Row

MOST_COLUMNS = 6
THEMES = (
    ({OPENING, IN, CLOSING}, _("What was there and what came in")),
    ({BETWEEN}, _("What machines took and gave")),
    ({OUT}, _("What left")),
    ({USE}, _("What went into use and came back")),
)
MATERIAL_THEMES = (
    ((0, 1, 2, 3, 8, 9, 10), _("What was there, what came and what went")),
    ((4, 5, 6, 7), _("What it was made into, and what came back of it")),
)


@dataclass(frozen=True)
class Theme:
    """Some columns of a table, with a title; `rows` holds what each row is of, and its cells in mg."""

    title: str
    columns: list
    rows: list[tuple]


def step_themes(lines: list[Row], steps: list) -> list[Theme]:
    """Return the lines of a period as columns and its steps as rows, the period itself last."""
    themes = []
    for kinds, title in THEMES:
        found = [line for line in lines if line.kind in kinds]
        for number, part in enumerate(evenly(found)):
            said = _("%(title)s, continued") % {"title": title} if number else title
            rows = [(step, at_step(part, at)) for at, step in enumerate(steps, start=1)]
            themes.append(Theme(said, part, [*rows, (None, at_step(part, 0))]))
    return themes


def at_step(lines: list[Row], at: int) -> list[tuple[str, int]]:
    """Return the kind and the mass of each line at a step; 0 is the whole period."""
    return [(line.kind, line.cells[at]) for line in lines]


def evenly(lines: list[Row]) -> list[list[Row]]:
    """Return lines in as few parts as fit, each about as long as the others."""
    parts = -(-len(lines) // MOST_COLUMNS)
    size = -(-len(lines) // parts) if parts else 1
    return [lines[start : start + size] for start in range(0, len(lines), size)]


def material_themes(columns: list, rows: list[MaterialRow]) -> list[Theme]:
    """Return materials with what moved, then with what they were made into; the first column names them."""
    name, *others = columns
    return [
        Theme(
            title,
            [name, *(others[at] for at in wanted)],
            [(row, [row.cells[at] for at in wanted]) for row in rows],
        )
        for wanted, title in MATERIAL_THEMES
    ]
