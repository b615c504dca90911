"""Forms of a recall: what is bad, and why it is stopped."""

import re

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.actions.recalls import MOST_LOTS
from inventory.forms.fields import NumberField, ReasonForm
from inventory.queries.lots import lot_named


class LotsField(forms.CharField):
    """Deliveries and lots, by number, code or bin, one a line or parted by commas; cleaned to lots."""

    widget = forms.Textarea(attrs={"rows": 3, "autocomplete": "off", "spellcheck": "false"})

    def clean(self, value):
        names = [name.strip() for name in re.split(r"[,;\n]", super().clean(value)) if name.strip()]
        if len(names) > MOST_LOTS:
            sentence = _("Name between 1 and %(most)s deliveries or lots.")
            raise ValidationError(sentence, code="lots", params={"most": MOST_LOTS})
        found = {name: lot_named(name) for name in names}
        if missing := [name for name, lot in found.items() if lot is None]:
            sentence = _("No delivery, lot or filled bin answers to: %(names)s.")
            params = {"names": ", ".join(missing)}
            raise ValidationError(sentence, code="not-found", params=params)
        return list({lot.pk: lot for lot in found.values()}.values())


class LookForm(forms.Form):
    """What is looked for, and from which share on it counts."""

    lots = LotsField(
        label=_("What is bad"),
        max_length=2000,
        help_text=_(
            "Deliveries such as D-0042, codes, or bins for what they hold now; one a line."
        ),
    )
    least_percent = NumberField(
        label=_("Leave out what holds less of it than"),
        help_text=_("%; 0 leaves out nothing"),
        min_value=0,
        max_value=100,
        decimal_places=1,
        required=False,
        initial=0,
    )

    def least_permille(self) -> int:
        """Return the least share in thousandths."""
        return int((self.cleaned_data.get("least_percent") or 0) * 10)


class RecallForm(ReasonForm):
    """Why everything is stopped."""
