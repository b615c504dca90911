"""Sheets in stock, and runs that are opened to cut them."""

from products.models import Design
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import DesignFactory, MachineFactory, make_part, make_run
from workshop.models import Machine, Run

SIZE = {"length_um": 1_000_000, "width_um": 500_000}


def make_boards(by, count: int = 2, **design) -> list:
    """Return so many sheets of 1000 x 500 x 10 mm in stock, of one design and lot."""
    lot = make_full_bin(by, net_mg=90 * KG, bin_fields={"capacity_mg": 100 * KG})[1]
    board = DesignFactory(thickness_mm=10, form="sheet", **SIZE, **design)
    saw()
    return [make_part(by, lot, 4 * KG, board) for _number in range(count)]


def saw() -> dict:
    """Return the machine of the cut runs here and what they make, the same ones each time."""
    machine = Machine.objects.filter(kind="cutter").first() or MachineFactory(kind="cutter")
    design = Design.objects.filter(made_by="cut").first()
    return {"machine": machine, "design": design or DesignFactory(made_by="cut", form="part")}


def cut_run(by, *sheets, **more) -> Run:
    """Return an open run that was opened for sheets, each whole or as (sheet, pieces)."""
    pairs = [each if isinstance(each, tuple) else (each, 1) for each in sheets]
    return make_run(by, "cut", sheets=tuple(pairs), **(saw() | more))
