"""The form of a design's windows: a low and a high value for each quantity that is read."""

from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, NumberField
from products.actions.windows import WindowPlan
from products.calculations.quantities import READ_IN
from products.models import Design, Quantity


class WindowsForm(ActForm):
    """Two boxes for each quantity; both empty is no window."""

    def __init__(self, *args, design: Design, **options):
        super().__init__(*args, **options)
        set_now = {window.quantity: window for window in design.windows.all()}
        self.quantities = [Quantity(name) for name in READ_IN[design.made_by]]
        for quantity in self.quantities:
            window = set_now.get(quantity.value)
            self.fields[f"{quantity.value}-low"] = box(quantity, _("from"), window and window.low)
            self.fields[f"{quantity.value}-high"] = box(quantity, _("to"), window and window.high)

    def rows(self) -> list[dict]:
        """Return the boxes of each quantity with its word and unit."""
        return [
            {
                "label": capfirst(quantity.label),
                "unit": quantity.unit,
                "low": self[f"{quantity.value}-low"],
                "high": self[f"{quantity.value}-high"],
            }
            for quantity in self.quantities
        ]

    def windows(self) -> list[WindowPlan]:
        """Return the windows that the valid form describes."""
        sent = self.cleaned_data
        plans = [
            WindowPlan(each.value, sent[f"{each.value}-low"], sent[f"{each.value}-high"])
            for each in self.quantities
        ]
        return [plan for plan in plans if (plan.low, plan.high) != (None, None)]


def box(quantity: Quantity, end, value) -> NumberField:
    """Return the box of one end of a window."""
    label = _("%(quantity)s %(end)s") % {"quantity": capfirst(quantity.label), "end": end}
    return NumberField(label=label, required=False, initial=value)
