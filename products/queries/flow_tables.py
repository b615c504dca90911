"""The mass flows of a period as people read them: the balance of each place, its months, its materials."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext_lazy as _

from inventory.calculations.flow_pictures import FlowPicture, flow_picture
from inventory.calculations.flow_streams import COLUMNS, streams_of
from inventory.calculations.flows import (
    FATES,
    FOUND,
    INS,
    INSIDE,
    MACHINE,
    MIXED,
    OUTS,
    PART,
    STOCK,
    WORN,
    Balance,
)
from inventory.calculations.periods import Period
from inventory.queries.flows import Flow, Material, flow_of, materials_of
from inventory.queries.masses import table_unit
from products.queries.flows import InUse, in_use_of

OPENING, CLOSING, IN, OUT, BETWEEN, USE = "opening", "closing", "in", "out", "between", "use"
PLACE_LABELS = {
    STOCK: _("Bins"),
    MACHINE: _("Machines"),
    PART: _("Parts"),
    FOUND: _("Found by a scale"),
}
IN_LABELS = {
    "received": _("received"),
    "count": _("found by counts"),
    "difference": _("found by scales"),
    "loaded": _("loaded"),
    WORN: _("worn parts loaded"),
    "part": _("parts made"),
    "material": _("flake and pellet made"),
    "offcut": _("offcuts back to bins"),
    "reject": _("rejects back to bins"),
    "dust": _("dust kept"),
    "purging": _("purging kept"),
    "leftover": _("leftovers back to bins"),
    "carried": _("carried over"),
    "moved": _("moved"),
    MIXED: _("from other materials"),
}
OUT_LABELS = IN_LABELS | {
    "disposed": _("disposed of"),
    "loss": _("lost, with a reason"),
    "count": _("count differences"),
    "difference": _("weighing differences"),
    "shipped": _("shipped"),
    MIXED: _("into other materials"),
}
BOX_LABELS = {
    WORN: _("Worn parts"),
    "machine-start": _("In machines"),
    FOUND: _("Found"),
    "stock-start": _("Held before"),
    "received": _("Received"),
    "bins": _("Bins"),
    "runs": _("Machines"),
    PART: _("Parts"),
    "material": _("Flake, pellet"),
    "offcut": _("Offcuts"),
    "reject": _("Rejects"),
    "leftover": _("Leftovers"),
    "dust": _("Dust"),
    "purging": _("Purging"),
    "loss": _("Lost"),
    "difference": _("Weighed off"),
    "disposed": _("Disposed of"),
    "count": _("Counted off"),
    "shipped": _("Shipped"),
    "machine-end": _("In machines"),
    "stock-end": _("Held after"),
}
ALWAYS = {
    (IN, "received"),
    *((BETWEEN, line) for line in ("part", "offcut", "dust", "purging")),
    *((OUT, line) for line in FATES),
}


@dataclass(frozen=True)
class Row:
    """One line of a table: masses in mg, the first cell for the whole where there is one."""

    kind: str
    label: str
    cells: list[int]


@dataclass(frozen=True)
class Table:
    """Rows of masses, read in one unit that is decided by the largest of them."""

    rows: list
    unit: str


def table_of(rows: list) -> Table:
    """Return rows, each with cells in mg, with the unit that they are read in."""
    return Table(rows, table_unit(mass_mg for row in rows for mass_mg in row.cells))


@dataclass(frozen=True)
class MaterialRow:
    """A material in a period; masses in mg."""

    key: tuple
    material: Material
    balance: Balance
    inside: dict[str, int]

    @property
    def found_mg(self) -> int:
        """What counts and scales found."""
        return self.balance.ins.get("count", 0) + self.balance.ins.get("difference", 0)

    @property
    def gone_mg(self) -> int:
        """What left: disposed, lost, shipped and both differences."""
        return sum(self.balance.outs.get(line, 0) for line in FATES)

    @property
    def from_others_mg(self) -> int:
        """What was another material before."""
        return self.balance.ins.get(MIXED, 0)

    @property
    def to_others_mg(self) -> int:
        """What became another material."""
        return self.balance.outs.get(MIXED, 0)

    @property
    def cells(self) -> list[int]:
        """All of it in the order of the table's columns."""
        return [
            self.balance.opening_mg,
            self.balance.ins.get("received", 0),
            self.found_mg,
            self.from_others_mg,
            *(self.inside.get(line, 0) for line in ("part", "offcut", "dust", "purging")),
            self.gone_mg,
            self.to_others_mg,
            self.balance.closing_mg,
        ]


@dataclass
class Report:
    """All that the page, the spreadsheet and the API tell of a period, or of one material in it."""

    flow: Flow
    in_use: InUse
    names: dict[tuple, Material]

    @cached_property
    def steps(self) -> list[Flow]:
        """The flow of each month or year."""
        return self.flow.by_step()

    @cached_property
    def whole(self) -> Balance:
        """The balance of the workshop."""
        return self.flow.whole()

    @property
    def is_empty(self) -> bool:
        """Whether nothing was there and nothing happened."""
        return self.whole.is_empty and not any(each.parts for each in self.in_use.sums.values())

    @cached_property
    def places(self) -> dict[str, Balance]:
        """The balance of each place; what a scale found is one only while something stays there."""
        found = self.flow.by_place()
        return {
            place: balance
            for place, balance in found.items()
            if place != FOUND or balance.opening_mg or balance.closing_mg
        }

    @property
    def place_labels(self) -> list:
        """The headings of the places."""
        return [PLACE_LABELS[place] for place in self.places]

    def place_rows(self) -> list[Row]:
        """Return the balance of the whole workshop and of each place, line by line."""
        sides = [self.whole, *self.places.values()]
        return balance_rows(sides, [{}] * len(sides), shown=())

    def step_rows(self) -> list[Row]:
        """Return the period and each of its steps, if several, line by line, with what went into use."""
        steps = self.steps if len(self.steps) > 1 else []
        flows = [self.flow, *steps]
        rows = balance_rows(
            [flow.whole() for flow in flows], [flow.inside() for flow in flows], shown=ALWAYS
        )
        sums, moved = self.in_use.sums, self.in_use.by_step(len(steps))
        handed = [sums["out"], *(out for out, _back in moved)]
        returned = [sums["back"], *(back for _out, back in moved)]
        return [
            *rows,
            Row(USE, _("parts handed over"), [each.mass_mg for each in handed]),
            Row(USE, _("parts that came back"), [each.mass_mg for each in returned]),
        ]

    def material_rows(self) -> list[MaterialRow]:
        """Return every material that was there or moved, by name."""
        found, inside = self.flow.by_material(), self.flow.inside_by_material()
        return [
            MaterialRow(key, name, found[key], inside.get(key, {}))
            for key, name in self.names.items()
            if key in found and not found[key].is_empty
        ]

    def picture(self) -> FlowPicture:
        """Return the picture of the flow of all materials."""
        return flow_picture(COLUMNS, streams_of(self.flow.opening, self.flow.moves))


def balance_rows(sides: list[Balance], insides: list[dict], *, shown: Iterable) -> list[Row]:
    """Return balances side by side, with a row for each line that any of them has, or that is always shown."""
    opening = Row(OPENING, _("at the start"), [side.opening_mg for side in sides])
    closing = Row(CLOSING, _("at the end"), [side.closing_mg for side in sides])
    groups = (
        (IN, INS, IN_LABELS, [side.ins for side in sides]),
        (BETWEEN, INSIDE, IN_LABELS, insides),
        (OUT, OUTS, OUT_LABELS, [side.outs for side in sides]),
    )
    rows = [
        Row(kind, labels[line], [cells.get(line, 0) for cells in columns])
        for kind, lines, labels, columns in groups
        for line in lines
        if (kind, line) in shown or any(cells.get(line) for cells in columns)
    ]
    return [opening, *rows, closing]


def report_of(period: Period, material: tuple | None = None) -> Report:
    """Return the mass flows of a period, of one material or of all, in at most eleven queries."""
    flow = flow_of(period)
    keys = {account.material for account in flow.opening}
    keys |= {end.material for move in flow.moves for end in move[2:4] if end}
    in_use = in_use_of(period)
    keys |= {key[1] for rows in vars(in_use).values() for key in rows}
    return Report(flow.of(material), in_use.of(material), materials_of(keys))
