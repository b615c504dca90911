"""Traces: what to follow."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.queries.deliveries import delivery_numbered
from inventory.queries.lots import lot_named


class TraceForm(forms.Form):
    """A code, a delivery's number or a bin's name, cleaned to the lot to follow."""

    code = forms.CharField(
        label=_("What to follow"),
        max_length=200,
        help_text=_("A code from a label, a delivery such as D-0042, or a bin such as B-07."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )

    def clean_code(self):
        text = self.cleaned_data["code"]
        if lot := lot_named(text):
            return lot
        if refused := delivery_numbered(text):
            raise ValidationError(
                _("%(number)s was refused and never entered the ledger."),
                code="refused",
                params={"number": refused.number},
            )
        raise ValidationError(
            _("Nothing to follow is called %(text)s: check the code, or the bin may be empty now."),
            code="not-found",
            params={"text": text},
        )
