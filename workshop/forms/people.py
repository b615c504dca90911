"""Forms of PINs."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from workshop.calculations.pins import MOST_DIGITS


class PinField(forms.CharField):
    """A PIN; it is never shown, nor filled in again after a refusal."""

    def __init__(self, **options):
        attributes = {"inputmode": "numeric", "autocomplete": "off", "data-pin": ""}
        options.setdefault("widget", forms.PasswordInput(attrs=attributes))
        super().__init__(max_length=MOST_DIGITS, strip=True, **options)


class PinForm(ActForm):
    """A new PIN, typed twice."""

    pin = PinField(label=_("New PIN"), help_text=_("4 to 6 digits, no year and no row like 1234."))
    again = PinField(label=_("The same PIN again"))

    def clean(self):
        data = super().clean()
        if data.get("pin") and data.get("again") and data["pin"] != data["again"]:
            sentence = _("The two PINs differ; type both again.")
            self.add_error("again", forms.ValidationError(sentence, code="differ"))
        return data
