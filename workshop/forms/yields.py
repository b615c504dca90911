"""The form that weighs something out of a run."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from inventory.forms.confirmations import ConfirmedMixin
from inventory.forms.fields import WeighedForm
from inventory.models import Bin
from inventory.queries.codes import void_note
from inventory.templatetags.quantities import mass as written
from products.calculations.sheet_sizes import size_mm
from products.forms.lengths import LengthField
from products.models import Design
from workshop.actions.yields import Outcome
from workshop.models import CODED, Yield
from workshop.queries.codes import bin_called
from workshop.queries.runs import ChargeBalance
from workshop.queries.yields import BinChoice

OTHER, DISPOSE = "other", "dispose"
TOGETHER, EACH = "together", "each"
COUNTED = (*CODED, Yield.Kind.REJECT)
MOST_PIECES = 100_000
AT_FIELDS = {
    "surprising": "mass",
    "short": "mass",
    "mass": "mass",
    "pieces": "pieces",
    "reason": "reason",
    "size": "length_mm",
    "which-sheet": "sheet",
}
AT_BIN = ("overfull", "retired", "polymer-mismatch", "colour-mismatch", "unknown-material")


class YieldForm(ConfirmedMixin, WeighedForm):
    """One thing that a charge became; parts are counted, all else goes into a bin or is thrown away."""

    way_name = "yield"
    charge = forms.TypedChoiceField(label=_("Out of"), coerce=int, widget=forms.RadioSelect)
    pieces = forms.IntegerField(
        label=_("Pieces"),
        min_value=1,
        max_value=MOST_PIECES,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    counted = forms.ChoiceField(
        label=_("The mass is of"),
        choices=[(TOGETHER, _("all together")), (EACH, _("one piece"))],
        initial=TOGETHER,
        widget=forms.RadioSelect,
    )
    length_mm = LengthField(
        label=_("Length"), help_text=_("Along the pattern of the sheet, where there is one.")
    )
    width_mm = LengthField(label=_("Width"))
    sheet = forms.ModelChoiceField(
        label=_("Cut from"), queryset=None, widget=forms.RadioSelect, empty_label=None
    )
    where = forms.ChoiceField(label=_("Into"), widget=forms.RadioSelect)
    other = forms.CharField(
        label=_("Another bin"),
        max_length=120,
        required=False,
        help_text=_("Scan its label or type its name."),
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "data-scan-into": "bin",
                "data-scan-with": OTHER,
            }
        ),
    )
    reason = forms.CharField(label=_("Why it is thrown away"), max_length=300, required=False)

    def __init__(
        self,
        *args,
        kind: str,
        charges: list[ChargeBalance],
        bins: list[BinChoice],
        sheets=(),
        **options,
    ):
        self.kind = kind
        self.bins = {choice.bin.code: choice.bin for choice in bins}
        super().__init__(*args, **options)
        self.fields["mass"].help_text = self.fields["tare"].help_text = ""
        self.offer_charges(charges)
        self.offer_sizes(sheets)
        if kind in CODED:
            del self.fields["where"], self.fields["other"], self.fields["reason"]
        else:
            self.offer_bins(bins)
            del self.fields["counted"]
            self.fields["pieces"].required = False
        if kind not in COUNTED:
            del self.fields["pieces"]

    def offer_sizes(self, sheets):
        """Ask for the size of a kept piece, and for its sheet where several designs were loaded."""
        if self.kind != Yield.Kind.KEPT:
            del self.fields["length_mm"], self.fields["width_mm"], self.fields["sheet"]
        elif len(sheets) < 2:  # noqa: PLR2004 (a choice needs two)
            del self.fields["sheet"]
        else:
            keys = [each.design.pk for each in sheets]
            self.fields["sheet"].queryset = Design.objects.filter(pk__in=keys)

    def offer_charges(self, charges: list[ChargeBalance]):
        """Ask for the charge only when there is more than one to weigh out of."""
        if len(charges) < 2:  # noqa: PLR2004 (a choice needs two)
            del self.fields["charge"]
            return
        label = _("charge %(number)s, %(left)s left")
        self.fields["charge"].choices = [
            (
                each.charge.number,
                label % {"number": each.charge.number, "left": written(each.left_mg)},
            )
            for each in charges
        ]
        self.fields["charge"].initial = charges[-1].charge.number

    def offer_bins(self, bins: list[BinChoice]):
        """Offer the bins that take it; the best one is chosen already when it is kept for such material.

        One that was scanned is chosen before all, and named below when it is none of them.
        """
        choices = [(choice.bin.code, bin_label(choice)) for choice in bins]
        apart = [(OTHER, _("another bin, named below")), (DISPOSE, _("thrown away, with a reason"))]
        self.fields["where"].choices = choices + apart
        scanned = self.initial.get("bin")
        if scanned and scanned.code in self.bins:
            self.initial["where"] = scanned.code
            choices.sort(key=lambda choice: choice[0] != scanned.code)
            self.fields["where"].choices = choices + apart
        elif scanned:
            self.initial |= {"where": OTHER, "other": scanned.name}
        elif bins and bins[0].is_suggested:
            self.initial["where"] = bins[0].bin.code

    @property
    def refused_at(self) -> dict[str, str]:
        """Return, by the code of a refusal, the field that it is about."""
        place = "other" if self.cleaned_data.get("where") == OTHER else "where"
        return AT_FIELDS | dict.fromkeys(AT_BIN, place)

    @property
    def others_are_open(self) -> bool:
        """Whether the list of the other places is open: nothing is suggested, or one of them was chosen."""
        return self["where"].value() != self.fields["where"].choices[0][0] or "where" in self.errors

    def clean(self):
        data = super().clean()
        if data.get("where") == DISPOSE and not (data.get("reason") or "").strip():
            self.add_error("reason", ValidationError(_("Say why in a few words."), code="reason"))
        if data.get("where") == OTHER:
            self.bins[OTHER] = self.named_bin(data.get("other") or "")
        return data

    def named_bin(self, text: str) -> Bin | None:
        """Return the bin that was typed or scanned, or put an error on its field."""
        if note := void_note(text, self.cleaned_data.get("key")):
            self.add_error("other", ValidationError(note, code="void-label"))
            return None
        found = bin_called(text) if text else None
        if found is None:
            sentence = _("No bin answers to this; scan its label or type its name, such as B-07.")
            self.add_error("other", ValidationError(sentence, code="no-bin"))
        return found

    def outcome(self) -> Outcome:
        """Return what the valid form weighs out."""
        pieces = self.cleaned_data.get("pieces") or 0
        count = pieces if self.cleaned_data.get("counted") == EACH else 1
        data = self.cleaned_data
        bin = self.bins.get(data.get("where"))
        size = size_mm(data["length_mm"], data["width_mm"]) if "length_mm" in data else None
        more = {"size": size, "sheet": data.get("sheet")}
        return Outcome(self.kind, self.weighed(count=count), pieces, bin, **more)

    def most_mg(self, charges: list[ChargeBalance]) -> int:
        """Return the largest mass that the charge could give, of each piece where each is weighed."""
        number = self.cleaned_data.get("charge")
        chosen = next((each for each in charges if each.charge.number == number), charges[-1])
        pieces = self.cleaned_data.get("pieces") or 1
        count = pieces if self.cleaned_data.get("counted") == EACH else 1
        return chosen.left_mg // count

    def figure(self) -> dict:
        """Return what a confirmation is about."""
        return self.outcome().plain()

    def figure_text(self) -> str:
        """Return the figure as it is asked back."""
        outcome = self.outcome()
        if outcome.kind not in CODED:
            return written(outcome.mass.mg)
        sentence = ngettext(
            "%(pieces)s piece of %(mass)s", "%(pieces)s pieces, %(mass)s", outcome.pieces
        )
        return sentence % {"pieces": outcome.pieces, "mass": written(outcome.mass.mg)}


def bin_label(choice: BinChoice) -> str:
    """Return a bin with what it holds and the room it has."""
    room = _("room for %(mass)s") % {"mass": written(choice.room_mg)}
    if choice.fill is None:
        return f"{choice.bin.name}: {_('empty')}, {room}"
    fill = choice.fill
    held = f"{written(fill.held_mg)} {fill.polymer} {fill.colour}, {fill.get_form_display()}"
    return f"{choice.bin.name}: {held}, {room}"
