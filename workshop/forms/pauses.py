"""The form that pauses a run."""

from django import forms
from django.utils.translation import gettext_lazy as _

from workshop.forms.moments import TapForm
from workshop.models import Pause


class PauseForm(TapForm):
    """Why a run pauses: one of the usual reasons, or in words."""

    why = forms.ChoiceField(choices=Pause.Reason.choices)  # each is a button
    note = forms.CharField(
        label=_("In words"),
        max_length=300,
        required=False,
        help_text=_("Needed for something else; then tap the reason."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
