"""Traces: what to follow."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.pasts import PastForm
from inventory.models import Lot
from inventory.queries.bins import bin_named
from inventory.queries.deliveries import delivery_numbered
from inventory.queries.pasts import Past, lot_named_then


class TraceForm(PastForm):
    """A code, a delivery's number or a bin's name, cleaned to the lot to follow; of now or a moment before."""

    code = forms.CharField(
        label=_("What to follow"),
        max_length=200,
        help_text=_(
            "A code from a label, a delivery such as D-0042, a bin such as B-07, or a run such as R-0042."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )

    field_order = ["code"]

    def clean(self):
        data = super().clean()
        if text := data.get("code"):
            past = Past(known_at=data.get("known_at"), happened_at=data.get("happened_at"))
            try:
                data["code"] = self.found(text, past)
            except ValidationError as error:
                self.add_error("code", error)
        return data

    def found(self, text: str, past: Past) -> Lot:
        """Return the lot that a text names, or say why there is none."""
        if lot := lot_named_then(text, past):
            return lot
        if refused := delivery_numbered(text):
            raise ValidationError(
                _("%(number)s was refused and never entered the ledger."),
                code="refused",
                params={"number": refused.number},
            )
        if past and bin_named(text):
            raise ValidationError(_("That bin was empty at that moment."), code="not-found")
        raise ValidationError(
            _("Nothing to follow is called %(text)s: check the code, or the bin may be empty now."),
            code="not-found",
            params={"text": text},
        )
