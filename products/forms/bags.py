"""The form by which a bag gives some of its pieces, and the box for pieces that others use too."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.confirmations import ConfirmedMixin
from inventory.forms.fields import ActForm
from products.models import Part
from products.queries.spoken_sheets import claims_on


class PiecesField(forms.IntegerField):
    """A number of pieces, typed on the keypad of the tablet."""

    def __init__(self, **options):
        super().__init__(**{"label": _("Pieces"), "min_value": 1, "max_value": 10**9} | options)
        self.widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class ClaimedForm(ConfirmedMixin, ActForm):
    """An act on sheets, asked back once when open runs are to cut them."""

    def figure_of(self, part: Part, **where) -> dict:
        """Return what a confirmation is about: this part, how many of it, and who is to cut it."""
        runs = [claim.label for claim in claims_on(part)]
        return {"part": part.code, "pieces": self.cleaned_data.get("pieces"), "runs": runs} | where


class DivideForm(ClaimedForm):
    """Some pieces of a bag get a code of their own; they are asked back when open runs are to cut them."""

    refused_at = {"pieces": "pieces"}

    pieces = PiecesField(label=_("Pieces to take out"), initial=1)

    def __init__(self, *args, bag: Part, **options):
        self.bag = bag
        super().__init__(*args, **options)

    def figure(self) -> dict:
        """Return what a confirmation is about: the bag, how many pieces, and who is to cut them."""
        return self.figure_of(self.bag)

    def figure_text(self) -> str:
        """Return what is asked back: how many pieces."""
        return str(self.cleaned_data["pieces"])
