"""Corrections: for each posting what it should have been, and why."""

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import MassField, ReasonForm
from inventory.models import Basis, Lot, Mass, Posting, Scale
from inventory.queries.bins import bin_named, bin_offers
from inventory.queries.corrections import Movement, movement_of
from inventory.queries.drafts import Fix
from inventory.queries.lots import lot_label, lot_named
from workshop.queries.charges import charge_label_of, charge_named

MOST_POSTINGS = 20


class PlaceField(forms.CharField):
    """A bin, a lot on the floor, or a charge such as R-0042/1; cleaned to the bin or the lot."""

    def __init__(self, **options):
        super().__init__(required=False, max_length=200, **options)
        self.widget.attrs |= {"list": "place-names", "autocomplete": "off", "spellcheck": "false"}

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        if place := bin_named(text) or charge_named(text) or lot_named(text):
            return place
        raise ValidationError(
            _("Nothing here is called %(text)s; type a bin, or a charge such as R-0042/1."),
            code="no-place",
            params={"text": text},
        )


class FixForm(forms.Form):
    """One posting as it was booked, to be written over; what stays as it stands changes nothing."""

    mass = MassField(label=_("Mass"), required=False)
    scale = forms.ModelChoiceField(
        label=_("Scale"),
        queryset=Scale.objects.none(),
        required=False,
        empty_label=_("typed, no scale"),
        help_text=_("What the mass was read from."),
    )
    source = PlaceField(label=_("From"))
    target = PlaceField(label=_("To"))
    is_out = forms.BooleanField(label=_("This never happened; take it out"), required=False)

    def __init__(self, *args, posting: Posting, **options):
        self.posting, self.movement = posting, movement_of(posting)
        super().__init__(*args, prefix=f"p{posting.pk}", initial=booked(self.movement), **options)
        if self.movement is None:
            self.fields.clear()
            return
        own = Q(pk=self.movement.scale_id)
        self.fields["scale"].queryset = Scale.objects.filter(Q(is_in_use=True) | own)
        for name, may in (
            ("source", self.movement.may_change_source),
            ("target", self.movement.may_change_target),
        ):
            if not may:
                del self.fields[name]

    def fix(self) -> Fix:
        """Return what differs from the book."""
        chosen = self.cleaned_data
        changed = set(self.changed_data)
        mass_mg = chosen.get("mass") if changed & {"mass", "scale"} else None
        return Fix(
            self.posting,
            mass=self.weighing(mass_mg, chosen["scale"]) if mass_mg else None,
            source=chosen.get("source") if "source" in changed else None,
            target=chosen.get("target") if "target" in changed else None,
            is_out=chosen.get("is_out", False),
        )

    def weighing(self, mass_mg: int, scale: Scale | None) -> Mass:
        """Return the mass as it is known now: by the scale of the book no worse and no better than before."""
        if scale is None or scale.pk != self.movement.scale_id:
            return Mass.weighed(mass_mg, scale)
        return Mass(mass_mg, Basis.WEIGHED, scale, self.movement.uncertainty_ug)


def booked(movement: Movement | None) -> dict:
    """Return a movement as it stands in the book, as a person types it."""
    if movement is None:
        return {}
    return {
        "mass": movement.mass_mg,
        "scale": movement.scale_id,
        "source": place_label(movement.source),
        "target": place_label(movement.target),
    }


def place_label(lot: Lot | None) -> str:
    """Return what is typed for a place: the bin, the charge or the lot."""
    if lot is None:
        return ""
    return charge_label_of(lot) if lot.kind == Lot.Kind.CHARGE else lot_label(lot)


class CorrectionForm(ReasonForm):
    """Why the book was wrong, what the person saw of the effect, and the name of a new loss."""

    refused_at = {"gap": "loss"}

    reason = forms.CharField(
        label=_("Why was it wrong?"), max_length=200, widget=forms.Textarea(attrs={"rows": 2})
    )
    loss = forms.CharField(
        label=_("Where did the missing mass go?"),
        max_length=90,
        required=False,
        help_text=_("Such as: fell behind the press."),
    )
    shown = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    field_order = ["loss", "reason"]

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        del self.fields["happened_at"]


class Sheet:
    """The whole page of a correction: one part for each posting, and what they share."""

    def __init__(self, data, postings: list[Posting]):
        self.form = CorrectionForm(data)
        known = set(data.getlist("posting")) if data else set()
        self.fixes = [
            FixForm(data if str(posting.uuid) in known else None, posting=posting)
            for posting in postings
        ]
        self.cards = bin_offers(None).others if postings else []

    def is_valid(self) -> bool:
        """Whether every part can be read; a part that cannot counts as refused for the page."""
        read = [part.is_valid() for part in (self.form, *self.fixes)]
        if not all(read[1:]):
            self.form.add_error(None, gettext("Mend the marked fields and look again."))
        return all(read)

    def fix_list(self) -> list[Fix]:
        """Return what the valid page says."""
        return [part.fix() for part in self.fixes if part.fields]

    def answer(self) -> dict:
        """Return what the action asks besides the act."""
        said = self.form.cleaned_data
        return {"fixes": self.fix_list(), "shown": said["shown"], "loss": said["loss"]}
