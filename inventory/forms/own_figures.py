"""A figure of a polymer as the workshop measured it or was told."""

from django.utils.translation import gettext_lazy as _

from inventory.calculations.own_figures import FIGURE, RULES
from inventory.forms.fields import NumberField, ReasonForm
from inventory.queries.material_sheets import Line

LABELS = {"low": _("Least"), "typical": _("Usual"), "high": _("Most")}


class BackForm(ReasonForm):
    """The figure of the reference holds again, and why."""

    happened_at = None


class OwnFigureForm(BackForm):
    """The values that a figure is given by, and where they come from."""

    field_order = ["key", "low", "typical", "high", "reason"]

    def __init__(self, *args, line: Line, **options):
        super().__init__(*args, **options)
        self.rule = RULES[line.name]
        for end in self.rule.ends:
            alone = len(self.rule.ends) == 1
            self.fields[end] = NumberField(
                label=_("Value") if alone else LABELS[end],
                required=self.rule.kind != FIGURE or end == "typical",
                max_digits=9,
                decimal_places=4,
                initial=shown(getattr(line, end)),
            )
        self.fields["reason"].label = _("Where it comes from, and why")
        self.order_fields(self.field_order)

    def boxes(self) -> list:
        """Return the boxes of the values."""
        return [self[end] for end in self.rule.ends]

    def ends(self) -> dict:
        """Return the values that the valid form gives."""
        return {end: self.cleaned_data.get(end) for end in ("low", "typical", "high")}


def shown(value: float | None) -> str | None:
    """Return a value as a box holds it at first."""
    return None if value is None else f"{value:.10g}"
