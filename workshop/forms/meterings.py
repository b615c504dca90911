"""The form of what a meter of energy shows."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, NumberField
from workshop.models import Metering


class MeteringForm(ActForm):
    """Which value it is, and the value in kWh."""

    what = forms.ChoiceField(
        label=_("What it is"), choices=Metering.What.choices, widget=forms.RadioSelect
    )
    kwh = NumberField(label=_("Energy"), max_digits=12, decimal_places=3)
    refused_at = {"absurd": "kwh", "meter-below": "kwh", "no-start": "what"}  # noqa: RUF012
