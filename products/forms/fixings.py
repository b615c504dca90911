"""Forms of parts put together: putting one in, and taking one out."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.calculations.codes import group_code, normalise_code
from inventory.forms.fields import ActForm
from inventory.queries.codes import row_coded
from products.forms.bags import ClaimedForm, PiecesField
from products.models import Part

OTHER = "other"
WRONG = {"broken": _("broken"), "cracked": _("cracked"), "worn": _("worn")}


class PartField(forms.CharField):
    """A part by what is scanned off its label, cleaned to the part."""

    def __init__(self, **options):
        super().__init__(**{"max_length": 200} | options)
        self.widget.attrs |= {
            "autocomplete": "off",
            "autocapitalize": "characters",
            "spellcheck": "false",
            "data-scan-into": "part",
            "data-scan-sends": "",
        }

    def bound_data(self, data, initial):
        """Return what was typed, or the code that was scanned in groups, as labels write it."""
        code = normalise_code(data or "")
        return group_code(code) if code else data

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        if part := row_coded(Part.objects.made().select_related("design", "lot"), text):
            return part
        raise ValidationError(
            _("No part has the code %(text)s; scan its label again."),
            code="no-part",
            params={"text": text[:60]},
        )


class ScannedPartForm(ClaimedForm):
    """An act into which the label of a part is scanned; a void label is refused at its field."""

    def __init__(self, *args, place: Part, **options):
        self.place = place  # the product, or the part that it takes the place of
        super().__init__(*args, **options)

    def figure(self) -> dict:
        """Return what a confirmation is about: what goes where, and who is to cut it."""
        return self.figure_of(self.cleaned_data["part"], place=self.place.code)

    def figure_text(self) -> str:
        """Return what is asked back: the code of what was scanned."""
        return group_code(self.cleaned_data["part"].code)

    def scanned(self) -> list[str]:
        """Return the fields into which a label is scanned."""
        return [name for name, field in self.fields.items() if isinstance(field, PartField)]


class PutInForm(ScannedPartForm):
    """A part goes into the holder of the page."""

    refused_at = dict.fromkeys(
        ("fixed", "ring", "not-in-list", "line-full", "on-hold", "used-up"), "part"
    ) | {"too-many": "pieces", "pieces": "pieces"}

    part = PartField(
        label=_("Part to put in"),
        help_text=_("Scan its label: it is put in at once. Typed, press the button."),
    )
    pieces = PiecesField(
        label=_("Pieces of a bag"),
        required=False,
        help_text=_("Left empty, as many as are missing; they get a code of their own."),
    )


class SwapForm(ScannedPartForm):
    """A broken part comes out of a product, and the one that is scanned goes in."""

    refused_at = dict.fromkeys(
        ("fixed", "ring", "not-in-list", "line-full", "on-hold", "used-up"), "part"
    ) | {"too-many": "pieces", "pieces": "pieces"}

    wrong = forms.ChoiceField(
        label=_("What is wrong with it"),
        choices=[*WRONG.items(), (OTHER, _("something else, written below"))],
        widget=forms.RadioSelect,
    )
    state = forms.CharField(label=_("In a few words"), max_length=150, required=False)
    pieces = PiecesField(
        label=_("Pieces to swap"), required=False, help_text=_("Left empty, all of them.")
    )
    part = PartField(
        label=_("Part to put in"),
        help_text=_(
            "Say first what is wrong; then a scan books both at once. Typed, press the button."
        ),
    )

    def __init__(self, *args, place: Part, **options):
        super().__init__(*args, place=place, **options)
        if place.pieces_left <= 1:
            del self.fields["pieces"]

    def clean(self):
        data = super().clean()
        if data.get("wrong") == OTHER and not data.get("state", "").strip():
            self.add_error("state", ValidationError(_("Say what is wrong."), code="state"))
        return data

    def said_of_it(self) -> str:
        """Return what is wrong, as it stays readable."""
        words = self.cleaned_data["state"].strip()
        wrong = WRONG.get(self.cleaned_data["wrong"], "")
        return ", ".join(filter(None, [str(wrong), words]))


class TakeOutForm(ActForm):
    """A part comes out of the one that it is in."""

    state = forms.CharField(
        label=_("What is wrong with it"),
        max_length=200,
        required=False,
        help_text=_("Such as: cracked, worn. Left empty when nothing is."),
    )
    pieces = PiecesField(
        label=_("Pieces to take out"),
        required=False,
        help_text=_("Left empty, all of them. Some get a code of their own."),
    )

    refused_at = {"pieces": "pieces"}

    def __init__(self, *args, part: Part, **options):
        super().__init__(*args, **options)
        if part.pieces_left <= 1:
            del self.fields["pieces"]
