"""The form by which a bag gives some of its pieces, and the box for pieces that others use too."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm


class PiecesField(forms.IntegerField):
    """A number of pieces, typed on the keypad of the tablet."""

    def __init__(self, **options):
        super().__init__(**{"label": _("Pieces"), "min_value": 1, "max_value": 10**9} | options)
        self.widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class DivideForm(ActForm):
    """Some pieces of a bag get a code of their own."""

    refused_at = {"pieces": "pieces"}

    pieces = PiecesField(label=_("Pieces to take out"), initial=1)
