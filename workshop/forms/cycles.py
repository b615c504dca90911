"""The form that takes a cycle back."""

from django import forms

from workshop.forms.moments import TapForm


class UndoForm(TapForm):
    """Which cycle is taken back, so that a tap on another tablet in between changes nothing."""

    cycle = forms.UUIDField(required=False, widget=forms.HiddenInput)
