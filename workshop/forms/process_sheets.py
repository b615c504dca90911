"""Forms of process sheets: a setting is chosen, or dropped."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import NumberField, ReasonForm


class DropForm(ReasonForm):
    """What was learned stands first again, and why."""

    happened_at = None


class ChooseForm(DropForm):
    """A value for a setting that is read or timed."""

    field_order = ["key", "name", "value", "unit", "reason"]
    refused_at = {"absurd": "value", "above-fume": "value", "no-setting": "name"}

    value = NumberField(label=_("Value"), max_digits=9, min_value=-1_000_000, max_value=1_000_000)

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        self.fields["reason"].label = _("Why it is chosen")
        self.fields["reason"].help_text = _("Such as: clean surface, no sink marks.")

    def setting(self, name: str) -> dict:
        """Return the setting that the valid form describes; a known one has its own name and unit."""
        sent = self.cleaned_data
        return {
            "name": name or sent["name"],
            "value": sent["value"],
            "unit": sent.get("unit", ""),
        }


class OwnWordsForm(ChooseForm):
    """A setting in words of one's own."""

    name = forms.CharField(
        label=_("Setting"), max_length=60, help_text=_("Such as: dwell before opening.")
    )
    unit = forms.CharField(
        label=_("Unit"), max_length=12, required=False, help_text=_("Such as min or turns.")
    )
