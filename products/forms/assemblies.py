"""The form of a parts list: lines of made or bought things, and the joints between them."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from products.actions.assemblies import (
    MOST_COUNT,
    MOST_ITEMS,
    MOST_JOINTS,
    MOST_MINUTES,
    ItemPlan,
    JointPlan,
)
from products.models import Bought, Design, JointKind

SPARE_ROWS = 2
ITEM_BOXES = ("count", "component", "bought", "bought_name")
JOINT_BOXES = ("kind", "first", "second", "tool", "minutes")
NUMBERS = {"inputmode": "numeric", "autocomplete": "off"}


class MinutesField(forms.DecimalField):
    """Minutes typed with a point or a comma."""

    def to_python(self, value):
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class AssemblyForm(ActForm):
    """Rows of boxes; a row left empty is none."""

    def __init__(self, *args, design: Design, **options):
        super().__init__(*args, **options)
        self.items_now = {item.line: item for item in design.items.all()}
        self.joints_now = {joint.turn: joint for joint in design.joints.all()}
        others = Design.objects.exclude(pk=design.pk)
        self.designs = {str(each.pk): each for each in others}
        self.ends = [("", "\N{EN DASH}"), ("0", design.name)]
        self.ends += [(str(line), self.line_said(line)) for line in range(1, MOST_ITEMS + 1)]
        for line in range(1, MOST_ITEMS + 1):
            self.add_item(line)
        for turn in range(1, MOST_JOINTS + 1):
            self.add_joint(turn)

    def line_said(self, line: int) -> str:
        """Return a line by its number, and by its name once it has one."""
        item = self.items_now.get(line)
        said = gettext("Line %(line)s") % {"line": line}
        return f"{said}: {item.name}" if item else said

    def add_item(self, line: int) -> None:
        """Add the boxes of one line."""
        item = self.items_now.get(line)
        none = [("", "\N{EN DASH}")]
        designs = none + [(key, each.name) for key, each in self.designs.items()]
        self.fields |= {
            f"count-{line}": forms.IntegerField(
                label=_("How many"),
                required=False,
                min_value=1,
                max_value=MOST_COUNT,
                widget=forms.TextInput(attrs=NUMBERS),
                initial=item and item.count,
            ),
            f"component-{line}": forms.ChoiceField(
                label=_("Made here"),
                required=False,
                choices=designs,
                initial=str(item.component_id) if item and item.component_id else "",
            ),
            f"bought-{line}": forms.ChoiceField(
                label=_("Or bought"),
                required=False,
                choices=none + Bought.choices,
                initial=item and item.bought,
            ),
            f"bought_name-{line}": forms.CharField(
                label=_("Its name"),
                required=False,
                max_length=60,
                initial=item and item.bought_name,
            ),
        }

    def add_joint(self, turn: int) -> None:
        """Add the boxes of one joint."""
        joint = self.joints_now.get(turn)
        self.fields |= {
            f"kind-{turn}": forms.ChoiceField(
                label=_("Kind"),
                required=False,
                choices=[("", "\N{EN DASH}"), *JointKind.choices],
                initial=joint and joint.kind,
            ),
            f"first-{turn}": self.end(_("Between"), joint and joint.first_line),
            f"second-{turn}": self.end(_("and"), joint and joint.second_line),
            f"tool-{turn}": forms.CharField(
                label=_("Tool"), required=False, max_length=60, initial=joint and joint.tool
            ),
            f"minutes-{turn}": MinutesField(
                label=_("Taking it apart"),
                required=False,
                min_value=0,
                max_value=MOST_MINUTES,
                max_digits=5,
                decimal_places=1,
                widget=forms.TextInput(attrs=NUMBERS | {"inputmode": "decimal"}),
                initial=f"{joint.minutes.normalize():f}" if joint else None,
            ),
        }

    def end(self, label, line) -> forms.ChoiceField:
        """Return the box of one end of a joint."""
        first = "" if line is None else str(line)
        return forms.ChoiceField(label=label, required=False, choices=self.ends, initial=first)

    def clean(self):
        data = super().clean()
        for line in range(1, MOST_ITEMS + 1):
            self.check_item(line)
        if not self.errors:
            for turn in range(1, MOST_JOINTS + 1):
                self.check_joint(turn)
        return data

    def check_item(self, line: int) -> None:
        """Complain of a line that is made and bought, or only half filled in."""
        count, component, bought, name = self.row(ITEM_BOXES, line)
        if component and (bought or name):
            self.complain(f"component-{line}", _("Made here or bought: choose one of them."))
        elif bool(bought) != bool(name):
            self.complain(f"bought_name-{line}", _("Say what was bought, and what it is called."))
        elif count and not (component or bought):
            self.complain(f"component-{line}", _("Choose what there are so many of."))

    def check_joint(self, turn: int) -> None:
        """Complain of a joint that is only half filled in, or holds an empty line."""
        kind, first, second, tool, minutes = self.row(JOINT_BOXES, turn)
        if not any((kind, first, second, tool, minutes)):
            return
        if not kind:
            self.complain(f"kind-{turn}", _("Choose how they hold together."))
        lines = self.lines()
        for name, end in (("first", first), ("second", second)):
            if not end or int(end) not in lines:
                self.complain(f"{name}-{turn}", _("Choose a line that is filled in."))

    def complain(self, box: str, sentence) -> None:
        """Put a sentence beside a box that has none yet."""
        if box not in self.errors:
            self.add_error(box, ValidationError(sentence, code="half"))

    def row(self, boxes, number: int) -> list:
        """Return what stands in the boxes of one row."""
        return [self.cleaned_data.get(f"{box}-{number}") for box in boxes]

    def lines(self) -> dict[int, int]:
        """Return each line that is filled in, with its number when the empty ones are left out."""
        every = range(1, MOST_ITEMS + 1)
        filled = [line for line in every if any(self.row(ITEM_BOXES[1:], line))]
        return {0: 0} | {line: number for number, line in enumerate(filled, 1)}

    def plans(self) -> tuple[list[ItemPlan], list[JointPlan]]:
        """Return the lines and joints that the valid form describes."""
        items, joints, lines = [], [], self.lines()
        for line in list(lines)[1:]:
            count, component, bought, name = self.row(ITEM_BOXES, line)
            items.append(ItemPlan(count or 1, self.designs.get(component), bought, name))
        for turn in range(1, MOST_JOINTS + 1):
            kind, first, second, tool, minutes = self.row(JOINT_BOXES, turn)
            if kind:
                ends = lines[int(first)], lines[int(second)]
                joints.append(JointPlan(kind, *ends, tool, minutes or Decimal(0)))
        return items, joints

    def item_rows(self) -> list[dict]:
        """Return the boxes of each line."""
        return self.rows(ITEM_BOXES, MOST_ITEMS, len(self.items_now))

    def joint_rows(self) -> list[dict]:
        """Return the boxes of each joint."""
        return self.rows(JOINT_BOXES, MOST_JOINTS, len(self.joints_now))

    def rows(self, boxes, most: int, used: int) -> list[dict]:
        """Return bound boxes row by row; those beyond a few spare ones are tucked away."""
        found = []
        for number in range(1, most + 1):
            bound = {box: self[f"{box}-{number}"] for box in boxes}
            typed = any(each.data for each in bound.values()) if self.is_bound else False
            tucked = number > used + SPARE_ROWS and not typed
            found.append(bound | {"number": number, "is_tucked": tucked})
        return found
