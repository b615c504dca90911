"""The picture of where a lot came from, or where it went, with words on its boxes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.db.models import TextChoices
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.calculations.family_trees import Box, FamilyTree, family_tree
from inventory.calculations.traces import topological_order
from inventory.models import Lot, Transfer
from inventory.queries.closures import ancestor_edges, descendant_edges
from inventory.queries.lots import lot_label
from inventory.queries.pasts import (
    NOW,
    Past,
    edges_back_then,
    edges_forward_then,
    lots_then,
)
from inventory.queries.traces import batches, lots_by_key

MOST_BOXES = 300
GONE = "gone-"  # and a role: the box of what left the workshop that way
MADE_IN_RUNS = (Lot.Kind.CHARGE, Lot.Kind.PART)


class Together(TextChoices):
    """What is taken together into one box."""

    NOTHING = "none", gettext_lazy("every lot")
    RUN = "run", gettext_lazy("by run")
    BIN = "bin", gettext_lazy("by bin")
    MONTH = "month", gettext_lazy("by month")


COARSER = (Together.NOTHING, Together.RUN, Together.BIN, Together.MONTH)


class Outline(NamedTuple):
    """What lots are grouped by."""

    pk: int
    kind: str
    bin_id: int | None
    opened_at: datetime


@dataclass(frozen=True)
class Labelled:
    """A box with its words; `group` names it where it can be opened.

    `first` is the only lot in it, or the oldest of several; None where mass left the
    workshop, of which `in_mg` says how much.
    """

    box: Box
    first: Lot | None
    name: str
    in_mg: int
    group: str = ""

    @property
    def at(self) -> dict[str, float]:
        """Where its parts stand in the picture, in px."""
        x, y = self.box.x, self.box.y
        swatch = {"swatch_x": x + 8, "swatch_y": y + 6}
        return swatch | {"text_x": x + 26, "name_y": y + 24, "note_y": y + 46}

    @property
    def count(self) -> int:
        """How many lots are in it."""
        return len(self.box.members) if self.first else 0


@dataclass(frozen=True)
class Picture:
    """A family tree with words, and how it was taken together."""

    tree: FamilyTree
    boxes: list[Labelled]
    together: Together
    is_too_large: bool = False


def picture_of(
    lot: Lot,
    *,
    together: str = "",
    opened: frozenset[str] = frozenset(),
    is_forward: bool = False,
    past: Past = NOW,
) -> Picture:
    """Return the picture of a lot's ancestors, or forward of its descendants, as it is or was at a past moment.

    Taken together as asked, or as little as fits; `opened` names groups that are drawn lot by
    lot. With more boxes than fit, it is marked as too large and has none.
    """
    edges = edges_ahead(lot, past) if is_forward else edges_behind(lot, past)
    order = topological_order(edges) or [lot.pk]
    outlines = outlines_of(key for key in order if not isinstance(key, str))
    asked = Together(together) if together in Together.values else None
    for way in [asked] if asked else COARSER:
        groups = groups_of(outlines, way, opened, lot)
        if len(set(groups.values())) + len(order) - len(groups) <= MOST_BOXES:
            tree = family_tree(edges, groups, order=order)
            return Picture(tree, labelled(tree, way, edges, past), way)
    return Picture(FamilyTree(0, 0, [], []), [], way, is_too_large=True)


def edges_behind(lot: Lot, past: Past) -> list[tuple]:
    """Return the transfers into a lot and its ancestors; none where nothing had gone into it by then."""
    edges = edges_back_then(lot, past) if past else ancestor_edges(lot)
    return edges if any(edge[1] == lot.pk for edge in edges) else []


def edges_ahead(lot: Lot, past: Past) -> list[tuple]:
    """Return the transfers out of a lot and its descendants; what left the workshop goes to its fate."""
    edges, _taken = edges_forward_then(lot, past) if past else descendant_edges(lot)
    return [edge if edge[1] else (edge[0], GONE + edge[4], *edge[2:]) for edge in edges]


def outlines_of(keys: Iterable[int]) -> list[Outline]:
    """Return of lots, by primary key, what they are grouped by: of tens of thousands few are drawn alone."""
    return [
        Outline(*row)
        for some in batches(keys)
        for row in Lot.objects.filter(pk__in=some).order_by().values_list(*Outline._fields)
    ]


def groups_of(
    outlines: list[Outline], way: Together, opened: frozenset[str], asked: Lot
) -> dict[int, str]:
    """Return the group of each lot that is drawn with others; the lot asked about stands alone."""
    runs = references_of(outlines) if way == Together.RUN else {}
    names = {each.pk: group_name(each, way, runs) for each in outlines if each.pk != asked.pk}
    return {pk: name for pk, name in names.items() if name and name not in opened}


def references_of(outlines: list[Outline]) -> dict[int, str]:
    """Return the run that each charge and part was filled in, as the newest posting into it refers to it."""
    made = [each.pk for each in outlines if each.kind in MADE_IN_RUNS]
    found = {}
    for some in batches(made):
        rows = Transfer.objects.forth().filter(target__in=some).order_by("pk")
        found |= dict(rows.values_list("target", "posting__reference"))
    return found


def group_name(lot: Outline, way: Together, runs: dict[int, str]) -> str:
    """Return the name of the group that a lot belongs to, empty when it stands alone."""
    if way == Together.RUN:
        return runs.get(lot.pk) or ""
    if way == Together.BIN and lot.bin_id and lot.kind == Lot.Kind.FILL:
        return f"bin-{lot.bin_id}"
    if way == Together.MONTH:
        return f"{lot.kind}-{lot.opened_at:%Y-%m}"
    return ""


def labelled(tree: FamilyTree, way: Together, edges: list[tuple], past: Past) -> list[Labelled]:
    """Return the boxes of a tree with their words."""
    lots = lots_by_key(box.members[0] for box in tree.boxes if not is_gone(box))
    if past:
        lots = {each.pk: each for each in lots_then(lots.values(), past)}
    boxes = []
    for box in tree.boxes:
        if is_gone(box):
            gone_mg = sum(edge[2] for edge in edges if edge[1] == box.key)
            fate = Transfer.Role(box.key.removeprefix(GONE)).label
            boxes.append(Labelled(box, None, _("out: %(fate)s") % {"fate": fate}, gone_mg))
        else:
            first, is_several = lots[box.members[0]], len(box.members) > 1
            group = box.key if isinstance(box.key, str) and is_several else ""
            name = box_name(first, way, box.key, is_several=is_several)
            boxes.append(Labelled(box, first, name, first.in_mg, group))
    return boxes


def is_gone(box: Box) -> bool:
    """Return whether a box stands for what left the workshop, and for no lots."""
    return isinstance(box.members[0], str)


def box_name(first: Lot, way: Together, key: int | str, *, is_several: bool) -> str:
    """Return what a box is called; its key is the name of a group, or that of the only lot in it."""
    if way == Together.RUN and isinstance(key, str):
        return key
    if not is_several:
        return lot_label(first)
    if way == Together.MONTH:
        facts = {"kind": Lot.Kind(first.kind).label, "month": date_format(first.opened_at, "M Y")}
        return _("%(kind)s, %(month)s") % facts
    return first.bin.name
