"""The picture of a trace as it is printed: few enough boxes to be read on paper, in whole numbers."""

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from inventory.calculations.family_trees import COLUMN, EDGE, ROW, Box, FamilyTree, family_tree
from inventory.calculations.traces import topological_order
from inventory.models import Lot
from inventory.queries.lots import lot_label
from inventory.queries.masses import mass_said
from inventory.queries.traces import lots_by_key
from workshop.queries.audit_scopes import Scope

MOST_BOXES = 60
MOST_ACROSS, MOST_DOWN = 11, 17  # more boxes side by side could not be read
COMFORTABLE = 7  # columns of a picture that runs from left to right
TENTHS = 10


def picture_of(scope: Scope) -> dict:
    """Return the picture of what is on the way: every lot, or lots of a kind and month, or kinds.

    It runs from left to right, or down the page where that way it fits. Places are in
    tenths of a px. Without any transfer from lot to lot it has no lines. Empty when there is
    too much to be drawn.
    """
    if not scope.is_drawn:
        return {}
    edges = [edge for edge in scope.edges if edge[0] and edge[1]]
    order = topological_order(edges) or list(scope.roots)
    lots = lots_by_key(order)
    for name_of in WAYS:
        groups = {pk: name_of(lots[pk], scope) for pk in order}
        if len(set(groups.values())) > MOST_BOXES:
            continue
        tree = family_tree(edges, groups, order=order)
        columns, rows = extent(tree)
        if min(columns, rows) <= MOST_ACROSS and max(columns, rows) <= MOST_DOWN:
            break
    return drawn(tree, lots) | {"is_down": columns > max(COMFORTABLE, rows)}


def extent(tree: FamilyTree) -> tuple[int, int]:
    """Return in how many columns the boxes stand, and how many rows high the columns are."""
    columns = max((int((box.x - EDGE) // COLUMN) + 1 for box in tree.boxes), default=0)
    return columns, round((tree.height - EDGE) / ROW)


def itself(lot: Lot, _scope: Scope):
    """Return a box for each lot."""
    return lot.pk


def kind_and_month(lot: Lot, scope: Scope):
    """Return a box for the lots of a kind and month; what is asked about stands together."""
    if lot.pk in scope.roots:
        return "asked"
    return f"{lot.kind}-{lot.opened_at:%Y-%m}"


def kind_alone(lot: Lot, scope: Scope):
    """Return a box for the lots of a kind; what is asked about stands together."""
    return "asked" if lot.pk in scope.roots else lot.kind


WAYS = (itself, kind_and_month, kind_alone)


def drawn(tree: FamilyTree, lots: dict[int, Lot]) -> dict:
    """Return a tree in plain values, with the words of its boxes."""
    return {
        "width": tree.width,
        "height": tree.height,
        "boxes": [box_drawn(box, [lots[pk] for pk in box.members]) for box in tree.boxes],
        "lines": [
            {"path": line.path, "width": round(line.width * TENTHS), "is_return": line.is_return}
            for line in tree.lines
        ],
    }


def box_drawn(box: Box, inside: list[Lot]) -> dict:
    """Return one box with its words and, where all in it have one colour, that."""
    colours = {lot.colour.srgb for lot in inside}
    return {
        "x": round(box.x * TENTHS),
        "y": round(box.y * TENTHS),
        "name": box_name(box, inside),
        "note": box_note(inside),
        "srgb": colours.pop() if len(colours) == 1 else "",
    }


def box_name(box: Box, inside: list[Lot]) -> str:
    """Return what a box is called."""
    if len(inside) == 1:
        return lot_label(inside[0])
    kinds = {lot.kind for lot in inside}
    if len(kinds) > 1:
        return _("asked about")
    name = str(Lot.Kind(kinds.pop()).label)
    if box.key == "asked" or "-" not in str(box.key):
        return name
    return f"{name}, {date_format(inside[0].opened_at, 'M Y')}"


def box_note(inside: list[Lot]) -> str:
    """Return what a box holds: the mass that went into a lot, or how many lots there are."""
    if len(inside) == 1:
        return mass_said(inside[0].in_mg)
    return _("%(count)s lots") % {"count": len(inside)}
