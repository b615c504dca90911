"""Open days at an injection machine: a design of 20 g, bins of two colours, all invented."""

from inventory.models import Mass
from tests.factories.inventory import make_act, make_full_bin
from tests.factories.workshop import DesignFactory, MachineFactory
from workshop.actions.settlements import Drawn
from workshop.actions.visits import end_piece, settle_visit, start_piece, start_visit
from workshop.models import Piece, Visit

PIECE_MG = 20_000


def make_token_design(**more):
    """Return a small design that is injected, one piece of 20 g a cycle."""
    fields = {"made_by": "inject", "form": "part", "nominal_mass_mg": PIECE_MG}
    return DesignFactory(**(fields | more))


def make_visit(by, **more) -> Visit:
    """Return an open visit on a fresh injection machine."""
    machine = more.get("machine") or MachineFactory(kind="injection")
    design = more.get("design") or make_token_design()
    return start_visit(design=design, machine=machine, act=make_act(by))


def make_piece(visit, lot, by) -> Piece:
    """Start a piece from a lot and end it."""
    start_piece(visit=visit, lot=lot, act=make_act(by))
    return end_piece(visit=visit, act=make_act(by))


def visit_with_pieces(by, pieces: int = 3, **of_bin):
    """Return an open visit with pieces from one full bin, and that bin's lot of 10 kg."""
    _bin, lot = make_full_bin(by, **of_bin)
    visit = make_visit(by)
    for _number in range(pieces):
        make_piece(visit, lot, by)
    return visit, lot


def drawn_of(lot, mass_mg: int, **more) -> Drawn:
    """Return a typed mass that was drawn from the bin of a lot."""
    return Drawn(bin=lot.bin, mass=Mass(mass_mg), **more)


def settle(visit, by, *drawn, reason: str = "", **more) -> Visit:
    """Settle a visit."""
    return settle_visit(visit=visit, drawn=drawn, act=make_act(by, reason, **more))
