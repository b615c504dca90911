"""What an hour, a kilowatt-hour, machines and tooling cost, and from which day."""

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.calculations.currencies import CODES
from inventory.forms.fields import ActForm, NumberField
from workshop.queries.rates import RateLine


class SinceForm(ActForm):
    """Something that holds from a day on, and where it comes from."""

    happened_at = None
    holds_from = forms.DateField(
        label=_("Holds from"),
        initial=timezone.localdate,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("A run costs by the day on which it was opened."),
    )
    reason = forms.CharField(label=_("Where it comes from"), max_length=300, required=False)
    refused_at = {"absurd": "amount", "day": "holds_from", "unknown-currency": "code"}  # noqa: RUF012


class CurrencyForm(SinceForm):
    """In what money is counted."""

    code = forms.CharField(
        label=_("Currency"),
        min_length=3,
        max_length=3,
        widget=forms.TextInput(
            attrs={"list": "currency-codes", "autocomplete": "off", "spellcheck": "false"}
        ),
        help_text=_("Its three letters as in ISO 4217, such as EUR, INR or KES."),
    )
    codes = sorted(CODES)


class RateForm(SinceForm):
    """One rate; an empty box says that nobody knows it."""

    amount = NumberField(
        label=_("Amount"),
        required=False,
        max_digits=14,
        decimal_places=4,
        help_text=_("Empty: nobody knows it from that day on."),
    )

    def __init__(self, *args, line: RateLine, **options):
        super().__init__(*args, **options)
        self.initial = {"amount": line.written} | self.initial
