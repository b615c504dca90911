"""The parts list of a design and its joints are set."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from products.models import Bought, Design, Item, Joint, JointKind
from products.queries.assemblies import reaches

MOST_ITEMS, MOST_JOINTS = 12, 12
MOST_COUNT, MOST_MINUTES = 1000, 999


@dataclass(frozen=True)
class ItemPlan:
    """So many of another design, or of a bought thing with its kind and name."""

    count: int = 1
    component: Design | None = None
    bought: str = ""
    bought_name: str = ""

    @property
    def is_one_thing(self) -> bool:
        """Whether it is either made or bought."""
        if self.component:
            return not self.bought and not self.bought_name
        return self.bought in Bought and bool(self.bought_name.strip())

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return vars(self) | {"component": self.component.pk if self.component else None}


@dataclass(frozen=True)
class JointPlan:
    """How two lines of the list hold together; 0 is the piece of the design itself."""

    kind: str
    first_line: int
    second_line: int
    tool: str = ""
    minutes: Decimal = Decimal(0)

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return vars(self) | {"minutes": f"{self.minutes.normalize():f}"}


@transaction.atomic
def set_assembly(
    *, design: Design, items: list[ItemPlan], joints: list[JointPlan], act: Act
) -> Design:
    """Set the parts list of a design and its joints in the order of taking apart, in place of the old.

    Refuses `parts-list` for a line that is not one thing or none at all, `cycle` when the design
    would be in itself, `joint` for one that holds nothing. Passports issued before keep what
    they say. A repeated UUID changes nothing.
    """
    said = {"items": [each.plain() for each in items], "joints": [each.plain() for each in joints]}
    request = act.request("set parts list", design=design.pk, **said)
    if done := earlier(act, request):
        return outcome_of(done, Design)
    # All of them, so that two lists at once cannot close a circle.
    designs = {each.pk: each for each in Design.objects.select_for_update().order_by("pk")}
    design = designs[design.pk]
    guard_items(design, items)
    guard_joints(items, joints)
    design.items.all().delete()
    design.joints.all().delete()
    Item.objects.bulk_create(
        Item(design=design, line=line, **vars(each)) for line, each in enumerate(items, 1)
    )
    Joint.objects.bulk_create(
        Joint(design=design, turn=turn, **vars(each)) for turn, each in enumerate(joints, 1)
    )
    record_change(act=act, subject=str(design), request=request, row=design)
    return design


def guard_items(design: Design, items: list[ItemPlan]) -> None:
    """Refuse a parts list that is none."""
    if len(items) > MOST_ITEMS:
        raise refusal(
            "parts-list",
            _("A parts list has at most %(most)s lines; make a design of some."),
            most=MOST_ITEMS,
        )
    for line, each in enumerate(items, 1):
        if not each.is_one_thing or not 1 <= each.count <= MOST_COUNT:
            raise refusal(
                "parts-list",
                _("Line %(line)s is not one thing; choose a design, or name what was bought."),
                line=line,
            )
    inside = [each.component.pk for each in items if each.component]
    if design.pk in reaches(inside):
        raise refusal("cycle", _("The design would be a piece of itself; leave that line out."))


def guard_joints(items: list[ItemPlan], joints: list[JointPlan]) -> None:
    """Refuse joints that hold nothing of the list."""
    if len(joints) > MOST_JOINTS:
        raise refusal(
            "joint", _("There are at most %(most)s joints; leave some out."), most=MOST_JOINTS
        )
    for number, each in enumerate(joints, 1):
        if not can_hold(each, items):
            raise refusal(
                "joint",
                _(
                    "Joint %(number)s holds nothing of the list; choose two of its lines "
                    "and 0 to %(most)s minutes."
                ),
                number=number,
                most=MOST_MINUTES,
            )


def can_hold(joint: JointPlan, items: list[ItemPlan]) -> bool:
    """Return whether a joint is between two things there are, and can be undone in its minutes.

    Both may be one line where there are several of it.
    """
    lines = (joint.first_line, joint.second_line)
    if joint.kind not in JointKind or not all(0 <= line <= len(items) for line in lines):
        return False
    if lines[0] == lines[1] and (not lines[0] or items[lines[0] - 1].count == 1):
        return False
    return 0 <= joint.minutes <= MOST_MINUTES
