"""The form that makes a checkpoint."""

from uuid import uuid4

from django import forms


class CheckpointForm(forms.Form):
    """Nothing to type: a checkpoint holds what the book holds at that moment."""

    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
