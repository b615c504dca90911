"""The picture of where a lot came from, with words on its boxes."""

from dataclasses import dataclass

from django.db.models import TextChoices
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.calculations.family_trees import Box, FamilyTree, family_tree
from inventory.calculations.traces import topological_order
from inventory.models import Lot
from inventory.queries.closures import ancestor_edges
from inventory.queries.lots import lot_label
from inventory.queries.traces import lots_by_key

MOST_BOXES = 300


class Together(TextChoices):
    """What is taken together into one box."""

    NOTHING = "none", gettext_lazy("every lot")
    BIN = "bin", gettext_lazy("by bin")
    MONTH = "month", gettext_lazy("by month")


COARSER = (Together.NOTHING, Together.BIN, Together.MONTH)


@dataclass(frozen=True)
class Labelled:
    """A box with its words; `group` names it where it can be opened."""

    box: Box
    lots: list[Lot]
    name: str
    group: str

    @property
    def at(self) -> dict[str, float]:
        """Where its parts stand in the picture, in px."""
        x, y = self.box.x, self.box.y
        swatch = {"swatch_x": x + 8, "swatch_y": y + 6}
        return swatch | {"text_x": x + 26, "name_y": y + 24, "note_y": y + 46}

    @property
    def first(self) -> Lot:
        """The only lot, or the oldest of several."""
        return self.lots[0]

    @property
    def count(self) -> int:
        """How many lots are in it."""
        return len(self.lots)

    @property
    def in_mg(self) -> int:
        """What its last lot took, in mg."""
        return self.lots[-1].in_mg


@dataclass(frozen=True)
class Picture:
    """A family tree with words, and how it was taken together."""

    tree: FamilyTree
    boxes: list[Labelled]
    together: Together
    is_too_large: bool = False


def picture_of(lot: Lot, *, together: str = "", opened: frozenset[str] = frozenset()) -> Picture:
    """Return the picture of a lot's ancestors, taken together as asked, or as little as fits.

    `opened` names groups that are drawn lot by lot. With more boxes than fit, it is
    marked as too large and has none.
    """
    edges = ancestor_edges(lot)
    order = topological_order(edges) or [lot.pk]
    lots = lots_by_key(order)
    asked = Together(together) if together in Together.values else None
    for way in [asked] if asked else COARSER:
        groups = groups_of([lots[pk] for pk in order], way, opened, lot)
        if len(set(groups.values())) + len(order) - len(groups) <= MOST_BOXES:
            return labelled(family_tree(edges, groups, order=order), lots, way)
    return Picture(FamilyTree(0, 0, [], []), [], way, is_too_large=True)


def groups_of(lots: list[Lot], way: Together, opened: frozenset[str], last: Lot) -> dict[int, str]:
    """Return the group of each lot that is drawn with others; the lot asked about stands alone."""
    names = {lot.pk: group_name(lot, way) for lot in lots if lot.pk != last.pk}
    return {pk: name for pk, name in names.items() if name and name not in opened}


def group_name(lot: Lot, way: Together) -> str:
    """Return the name of the group that a lot belongs to, empty when it stands alone."""
    if way == Together.BIN and lot.bin_id and lot.kind == Lot.Kind.FILL:
        return f"bin-{lot.bin_id}"
    if way == Together.MONTH:
        return f"{lot.kind}-{lot.opened_at:%Y-%m}"
    return ""


def labelled(tree: FamilyTree, lots: dict[int, Lot], way: Together) -> Picture:
    """Return a tree with the words of its boxes."""
    boxes = []
    for box in tree.boxes:
        inside = [lots[pk] for pk in box.members]
        group = box.key if isinstance(box.key, str) else ""
        boxes.append(Labelled(box, inside, box_name(inside, way), group if len(inside) > 1 else ""))
    return Picture(tree, boxes, way)


def box_name(inside: list[Lot], way: Together) -> str:
    """Return what a box is called."""
    first = inside[0]
    if len(inside) == 1:
        return lot_label(first)
    if way == Together.MONTH:
        facts = {"kind": Lot.Kind(first.kind).label, "month": date_format(first.opened_at, "M Y")}
        return _("%(kind)s, %(month)s") % facts
    return first.bin.name
