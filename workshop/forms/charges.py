"""Forms that load a run."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.calculations.fingerprints import fingerprint
from inventory.forms.confirmations import ConfirmedMixin
from inventory.forms.fields import GROSS, NET, WeighedForm
from inventory.models import Lot, Mass
from inventory.queries.masses import typed_mass
from inventory.templatetags.quantities import mass as written
from products.models import Part
from workshop.actions.charges import Portion

AFTERWARDS = "afterwards"
WAYS = [
    (NET, _("net")),
    (GROSS, _("gross less tare")),
    (AFTERWARDS, _("the bin afterwards")),
]
AT_MASS = ("surprising", "short", "over-book", "mass", "empty")


class LoadForm(ConfirmedMixin, WeighedForm):
    """Some mass of a lot, or all of it; or what the scale shows of its bin when some was taken out."""

    way_name = "load"
    refused_at = dict.fromkeys(AT_MASS, "mass")

    whole = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, lot: Lot, **options):
        self.lot = lot
        if lot.bin and lot.bin.tare_mg:
            first = {"tare": typed_mass(lot.bin.tare_mg)}
            options["initial"] = first | options.get("initial", {})
        super().__init__(*args, **options)
        self.use_required_attribute = False  # or the browser would stop "load all"
        self.fields["way"].choices = WAYS
        self.fields["mass"].required = not self.asks_for_all()
        self.fields["mass"].help_text = ""
        self.fields["tare"].help_text = ""
        self.fields["mass"].error_messages["required"] = _(
            "Enter the mass you took, or load all of it."
        )

    def asks_for_all(self) -> bool:
        """Return whether all of the lot is to be loaded, asked for or confirmed."""
        all_of_it = fingerprint(Portion(self.lot).plain())
        return bool(self.data.get("whole")) or self.data.get("confirmed") == all_of_it

    def clean(self):
        data = super().clean()
        if self.asks_for_all() and data.get("mass"):
            sentence = _("A mass is typed, and all of it was asked for; clear the mass or load it.")
            self.add_error("mass", ValidationError(sentence, code="which-mass"))
        return data

    def leaves_something(self, gross_mg: int, tare_mg: int) -> bool:
        """Return whether the scale shows more than the tare; a bin weighed afterwards may be empty."""
        if self.way_chosen() == AFTERWARDS:
            return gross_mg >= tare_mg
        return super().leaves_something(gross_mg, tare_mg)

    def remaining(self) -> Mass | None:
        """Return what the scale shows of the lot afterwards, or None when it was weighed otherwise."""
        shown_mg = self.cleaned_data.get("mass")
        if shown_mg is None or self.way_chosen() != AFTERWARDS:
            return None
        tare_mg = self.tare_mg()
        scale = self.cleaned_data.get("scale")
        return Mass.weighed(shown_mg - tare_mg, scale, readings=2 if tare_mg else 1)

    def portion(self) -> Portion:
        """Return what the valid form loads."""
        remaining = self.remaining()
        return Portion(self.lot, None if remaining else self.weighed(), remaining=remaining)

    @property
    def is_over_book(self) -> bool:
        """Whether the scale showed more than the book, so that a count is due."""
        return self.has_error("mass", "over-book")

    def figure(self) -> dict:
        """Return what a confirmation is about."""
        return self.portion().plain()

    def figure_text(self) -> str:
        """Return the figure as it is asked back: what would be loaded."""
        portion = self.portion()
        if portion.remaining:
            return written(self.lot.held_mg - portion.remaining.mg)
        return written(portion.mass.mg if portion.mass else self.lot.held_mg)


class PartLoadForm(ConfirmedMixin, WeighedForm):
    """A part, or some pieces of a bag; weighed only when it is worn."""

    way_name = "part"
    refused_at = dict.fromkeys(AT_MASS, "mass") | {"short": "pieces"}

    pieces = forms.IntegerField(
        label=_("Pieces"),
        min_value=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(self, *args, part: Part, **options):
        self.part = part
        super().__init__(*args, **options)
        self.fields["mass"].required = False
        self.fields["mass"].label = _("Mass, when it is worn")
        self.fields["mass"].help_text = _("Left empty, the mass in the book holds.")
        self.fields["tare"].help_text = ""
        self.fields["pieces"].initial = part.pieces_left
        if part.pieces_left <= 1:
            del self.fields["pieces"]
            self.refused_at = self.refused_at | {"short": "mass"}

    def portion(self) -> Portion:
        """Return what the valid form loads."""
        pieces = self.cleaned_data.get("pieces", self.part.pieces_left)
        return Portion(self.part.lot, self.weighed(), pieces)

    def figure(self) -> dict:
        """Return what a confirmation is about."""
        return self.portion().plain()

    def figure_text(self) -> str:
        """Return the figure as it is asked back."""
        portion = self.portion()
        return written(portion.mass.mg if portion.mass else self.part.lot.held_mg)
