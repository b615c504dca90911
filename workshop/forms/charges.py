"""Forms that load a run."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import WeighedForm
from inventory.models import Lot
from products.models import Part
from workshop.actions.charges import Portion
from workshop.forms.runs import as_large_choices


class LoadForm(WeighedForm):
    """Some mass of a lot, or all of it."""

    whole = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, lot: Lot, **options):
        self.lot = lot
        super().__init__(*args, **options)
        self.use_required_attribute = False  # or the browser would stop "load all"
        self.fields["mass"].required = not self.data.get("whole")
        self.fields["mass"].error_messages["required"] = _(
            "Enter the mass you took, or load all of it."
        )
        as_large_choices(self.fields["scale"], none=self.fields["scale"].empty_label)

    def clean(self):
        data = super().clean()
        if data.get("whole") and data.get("mass"):
            sentence = _("A mass is typed, and all of it was asked for; clear the mass or load it.")
            self.add_error("mass", ValidationError(sentence, code="which-mass"))
        return data

    def portion(self) -> Portion:
        """Return what the valid form loads."""
        return Portion(self.lot, self.weighed())


class PartLoadForm(WeighedForm):
    """A part, or some pieces of a bag; weighed only when it is worn."""

    pieces = forms.IntegerField(
        label=_("Pieces"),
        min_value=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(self, *args, part: Part, **options):
        self.part = part
        super().__init__(*args, **options)
        self.fields["mass"].required = False
        self.fields["mass"].help_text = _(
            "kg; weigh it when it is worn, else the book's mass holds"
        )
        as_large_choices(self.fields["scale"], none=self.fields["scale"].empty_label)
        self.fields["pieces"].initial = part.pieces_left
        if part.pieces_left <= 1:
            del self.fields["pieces"]

    def portion(self) -> Portion:
        """Return what the valid form loads."""
        pieces = self.cleaned_data.get("pieces", self.part.pieces_left)
        return Portion(self.part.lot, self.weighed(), pieces)
