"""A figure that was asked back is confirmed by one tap, which counts for that very figure only."""

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS

from inventory.calculations.fingerprints import fingerprint


class ConfirmedMixin(forms.Form):
    """A form whose figure may be asked back; its `figure()` is what is confirmed, `figure_text()` names it."""

    confirmed = forms.CharField(max_length=128, required=False, widget=forms.HiddenInput)
    asked_token = ""
    asked_text = ""

    def is_confirmed(self) -> bool:
        """Return whether the tap that was sent confirms the figure of the valid form.

        Keeps what the tap would have to send, for a refusal takes the figure out of the cleaned values.
        """
        self.asked_token, self.asked_text = fingerprint(self.figure()), self.figure_text()
        return self.cleaned_data.get("confirmed") == self.asked_token

    @property
    def is_asked_back(self) -> bool:
        """Whether the action asked this figure back."""
        return any(self.has_error(name, "surprising") for name in [*self.fields, NON_FIELD_ERRORS])
