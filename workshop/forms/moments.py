"""The form of one tap: its id, and the moment that the tablet says."""

from django import forms

from inventory.forms.fields import ActForm


class TapForm(ActForm):
    """An act that asks nothing; the moment is that of the tap when the tablet sends it, else of its arrival."""

    happened_at = forms.DateTimeField(required=False, widget=forms.HiddenInput)
