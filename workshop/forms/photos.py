"""The form that adds a photo to a run."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.photos import PhotoField
from workshop.forms.moments import TapForm


class PhotoForm(TapForm):
    """A photo, drawn anew, with a few words."""

    picture = PhotoField(
        label=_("Photo"), help_text=_("Only staff see it. JPEG, PNG or WebP, up to 10 MB.")
    )
    note = forms.CharField(
        label=_("What it shows"),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
