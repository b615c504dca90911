"""Questions about parts lists: what a design is put together from, and whether it comes apart."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from graphlib import TopologicalSorter

from django.db.models import prefetch_related_objects
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.models import Blend
from products.calculations import assemblies
from products.calculations.assemblies import Verdict, apart_verdict
from products.models import Design, Item, Joint
from products.models.windows import number_in_words
from products.queries.sentences import said

MG_PER_G = 1000


def reaches(keys: Iterable[int]) -> set[int]:
    """Return the keys of these designs and of all that are in them."""
    inside, found, ahead = components(), set(), set(keys)
    while ahead:
        found |= ahead
        ahead = {each for key in ahead for each in inside[key]} - found
    return found


def components() -> dict[int, set[int]]:
    """Return for each design the keys of those in its parts list; none for others."""
    found = defaultdict(set)
    rows = Item.objects.filter(component__isnull=False).order_by()
    for design, component in rows.values_list("design", "component"):
        found[design].add(component)
    return found


def mixtures() -> dict[tuple[str, str], int | None]:
    """Return the mixtures that are switched on: main and added polymer, the most of it in permille."""
    rows = Blend.objects.filter(is_on=True).order_by()
    pairs = rows.values_list("main__symbol", "added__symbol", "most_added_permille")
    return {(main, added): most for main, added, most in pairs}


class Gathering:
    """All that is in a design, each design once with how many there are, and all joints in it."""

    def __init__(self, design: Design):
        inside = components()
        keys = reaches([design.pk])
        order = TopologicalSorter(
            {each: {key for key in keys if each in inside[key]} for each in keys}
        )
        self.designs = Design.objects.prefetch_related("polymers", "items", "joints").in_bulk(keys)
        self.items: list[assemblies.Item] = []
        self.joints: list[assemblies.Joint] = []
        self.times = defaultdict(int, {design.pk: 1})
        self.places: dict[int, int] = {}
        ordered = [self.designs[key] for key in order.static_order()]
        for each in ordered:
            self.add_design(each)
        for each in ordered:
            self.add_inside(each)

    def add_design(self, design: Design) -> None:
        """Add the piece of a design itself, and count what is in it."""
        times = self.times[design.pk]
        for item in design.items.all():
            if item.component_id:
                self.times[item.component_id] += times * item.count
        self.places[design.pk] = len(self.items)
        self.items.append(
            assemblies.Item(
                name=design.name,
                polymers=frozenset(polymer.symbol for polymer in design.polymers.all()),
                count=times,
                mass_g=design.nominal_mass_mg / MG_PER_G,
                surface_mm2=design.surface_mm2,
                is_coated=design.is_coated,
                has_inserts=design.has_inserts,
            )
        )

    def add_inside(self, design: Design) -> None:
        """Add what was bought for a design, and its joints."""
        times, places = self.times[design.pk], {0: self.places[design.pk]}
        for item in design.items.all():
            if item.component_id:
                places[item.line] = self.places[item.component_id]
            else:
                places[item.line] = len(self.items)
                count = times * item.count
                self.items.append(assemblies.Item(item.bought_name, item.bought, count=count))
        for joint in design.joints.all():
            ends = places[joint.first_line], places[joint.second_line]
            self.joints.append(assemblies.Joint(joint.kind, *ends, joint.minutes * times))


def verdict_of(design: Design) -> Verdict:
    """Return whether a design can be taken apart and recycled in one go, with all that is in it."""
    gathered = Gathering(design)
    return apart_verdict(gathered.items, gathered.joints, mixtures())


@dataclass(frozen=True)
class JointRow:
    """A joint as pages show it: which way it is undone, what it holds, with what and how long."""

    turn: int
    kind: str
    first: str
    second: str
    tool: str
    minutes: Decimal
    lasts: bool

    @property
    def in_words(self) -> str:
        """It in one line."""
        facts = {"kind": capfirst(self.kind), "first": self.first, "second": self.second}
        said = [_("%(kind)s: %(first)s and %(second)s") % facts]
        said += [_("with %(tool)s") % {"tool": self.tool}] if self.tool else []
        said += [_("does not come apart")] if self.lasts else []
        if self.minutes and not self.lasts:
            said.append(minutes_said(self.minutes))
        return ", ".join(said)


def minutes_said(minutes: Decimal) -> str:
    """Return minutes in words."""
    text = ngettext("%(minutes)s minute", "%(minutes)s minutes", 1 if minutes == 1 else 2)
    return text % {"minutes": number_in_words(minutes)}


def joint_rows(design: Design) -> list[JointRow]:
    """Return the joints of a design in the order of taking apart; `items` are to be fetched before."""
    names = {0: design.name} | {item.line: item.name for item in design.items.all()}
    return [joint_row(joint, names) for joint in design.joints.all()]


def joint_row(joint: Joint, names: dict[int, str]) -> JointRow:
    """Return a joint as pages show it."""
    return JointRow(
        turn=joint.turn,
        kind=joint.get_kind_display(),
        first=names[joint.first_line],
        second=names[joint.second_line],
        tool=joint.tool,
        minutes=joint.minutes,
        lasts=joint.kind in assemblies.LASTING,
    )


def taking_apart_text(design: Design) -> str:
    """Return how a thing is taken apart: in the words of its design, then joint by joint."""
    prefetch_related_objects([design], "items__component", "joints")
    own = design.taking_apart.strip()
    rows = joint_rows(design)
    if not rows:
        return own
    steps = [f"{row.turn}. {row.in_words}." for row in rows]
    return "\n".join([*([own] if own else []), *steps, said(verdict_of(design).sentence)])
