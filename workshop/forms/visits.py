"""Forms of a visit: its start, the taps, the name on a label, and the settlement."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, BinField, MassField, mean_in_unit, unit_field
from inventory.models import Bin, Lot, Mass, Scale
from inventory.queries.masses import typed_mass
from workshop.actions.settlements import Drawn
from workshop.actions.yields import Outcome
from workshop.forms.moments import TapForm
from workshop.queries.machines import machines_for
from workshop.queries.visits import visit_designs

AFTERWARDS, TYPED = "afterwards", "typed"
LONGEST_NAME = 24


class VisitForm(ActForm):
    """The design and the machine, chosen once."""

    design = forms.ModelChoiceField(
        label=_("What everybody makes"), queryset=None, empty_label=None, widget=forms.RadioSelect
    )
    machine = forms.ModelChoiceField(
        label=_("Injection machine"), queryset=None, empty_label=None, widget=forms.RadioSelect
    )

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        self.fields["design"].queryset = visit_designs()
        self.fields["machine"].queryset = machines_for("inject")


class PieceForm(TapForm):
    """The plastic of a piece, as the code of the lot in its bin."""

    lot = forms.ModelChoiceField(queryset=Lot.objects.all(), to_field_name="code")


class LabelForm(forms.Form):
    """What stands on the label of a piece beside its code; it goes onto the label and nowhere else."""

    name = forms.CharField(
        label=_("First name or number"),
        max_length=LONGEST_NAME,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class SettleForm(ActForm):
    """Why something was lost or thrown away."""

    reason = forms.CharField(
        label=_("Where the lost mass went, or why something is thrown away"),
        max_length=300,
        required=False,
    )


class DrawnForm(forms.Form):
    """What one bin gave: the bin weighed afterwards, or a mass typed; and what is not in the pieces."""

    way_name = "settle"

    way = forms.ChoiceField(
        label=_("What you enter"),
        choices=[(AFTERWARDS, _("the bin afterwards")), (TYPED, _("what was taken"))],
        initial=AFTERWARDS,
        widget=forms.RadioSelect,
    )
    unit = unit_field()
    mass = MassField(label=_("On the scale"))
    tare = MassField(label=_("Tare of the bin"), required=False)
    scale = forms.ModelChoiceField(
        label=_("Scale"),
        queryset=Scale.objects.filter(is_in_use=True),
        required=False,
        empty_label=_("typed, no scale"),
    )
    offcut = MassField(label=_("Offcuts"), unit="g", required=False)
    offcut_bin = BinField(
        label=_("Offcuts go into bin"), required=False, help_text=_("Empty: thrown away.")
    )
    purging = MassField(label=_("Purging"), unit="g", required=False)
    purging_bin = BinField(
        label=_("Purging goes into bin"), required=False, help_text=_("Empty: thrown away.")
    )
    lost = MassField(label=_("Lost"), unit="g", required=False)

    def __init__(self, *args, lot: Lot, suggested: dict[str, Bin], usual: dict, **options):
        self.lot = lot
        first = usual | {f"{kind}_bin": bin.name for kind, bin in suggested.items()}
        if lot.bin.tare_mg:
            first["tare"] = typed_mass(lot.bin.tare_mg)
        super().__init__(*args, prefix=lot.code, initial=first, **options)
        mean_in_unit(self, "mass", "tare")

    @property
    def has_sides(self) -> bool:
        """Whether anything was said of what is not in the pieces, or a bin for it was refused."""
        typed = any(self[name].value() for name in ("offcut", "purging", "lost"))
        return typed or any(name in self.errors for name in ("offcut_bin", "purging_bin"))

    def clean(self):
        data = super().clean()
        is_read = data.get("way") == AFTERWARDS and {"mass", "tare"} <= data.keys()
        if is_read and data["mass"] < (data["tare"] or 0):
            sentence = _("The scale shows less than the empty bin; weigh %(bin)s again.")
            facts = {"bin": self.lot.bin.name}
            self.add_error("mass", ValidationError(sentence, code="tare", params=facts))
        return data

    def drawn(self) -> Drawn:
        """Return what the valid form says of the bin."""
        data = self.cleaned_data
        is_afterwards = data["way"] == AFTERWARDS
        tare_mg = (data["tare"] or 0) if is_afterwards else 0
        read = Mass.weighed(data["mass"] - tare_mg, data["scale"], readings=2 if tare_mg else 1)
        return Drawn(
            bin=self.lot.bin,
            mass=None if is_afterwards else read,
            remaining=read if is_afterwards else None,
            offcut=self.side("offcut"),
            purging=self.side("purging"),
            lost_mg=data["lost"] or 0,
        )

    def side(self, kind: str) -> Outcome | None:
        """Return offcuts or purging as they are weighed out, or None when there are none."""
        data = self.cleaned_data
        return Outcome(kind, Mass(data[kind]), bin=data[f"{kind}_bin"]) if data[kind] else None
