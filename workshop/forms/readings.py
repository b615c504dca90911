"""The form of one reading off a machine."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import NumberField
from products.calculations.quantities import can_be
from products.models import Quantity
from workshop.forms.moments import TapForm
from workshop.queries.readings import Gauge

ASKS = {
    "above": _("%(value)s %(unit)s lies above the window. Is that what it shows?"),
    "below": _("%(value)s %(unit)s lies below the window. Is that what it shows?"),
    "fume": _("%(value)s %(unit)s lies above the fume ceiling. Is that what it shows?"),
}


class ReadingForm(TapForm):
    """One value; what lies out of its window is asked back once, and noted when it is said again."""

    quantity = forms.ChoiceField(choices=Quantity.choices, widget=forms.HiddenInput)
    value = NumberField(error_messages={"required": _("Type what it shows.")})
    sure = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, gauge: Gauge, asks: bool = True, **options):
        super().__init__(*args, **options)
        self.gauge, self.asks = gauge, asks
        self.fields["value"].label = capfirst(gauge.quantity.label)
        self.initial["quantity"] = gauge.quantity.value

    def clean(self):
        data = super().clean()
        value = data.get("value")
        is_sure = not self.asks or data.get("sure") == self["value"].data
        if value is None or is_sure or not can_be(self.gauge.quantity.value, value):
            return data  # what cannot be true is not asked about: the action refuses it
        place = "fume" if self.gauge.is_above_fume(value) else self.gauge.place_of(value)
        if place in ASKS:
            facts = {"value": f"{value:f}", "unit": self.gauge.quantity.unit}
            self.add_error("value", ValidationError(ASKS[place], code="sure", params=facts))
        return data

    @property
    def is_asking(self) -> bool:
        """Whether the value is asked back."""
        return self.is_bound and self.has_error("value", "sure")
