"""Forms of machines and tooling."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, MassField, ReasonForm
from workshop.models import Machine, Tooling

OF_MACHINE = ("name", "kind", "place", "capacity_mg", "note")
OF_TOOLING = ("name", "kind", "cavities", "capacity_mg", "note")


class MachineForm(ActForm):
    """What a machine is called, what it does and where it stands."""

    name = forms.CharField(label=_("Name"), max_length=60)
    kind = forms.ChoiceField(
        label=_("It is a"), choices=Machine.Kind.choices, widget=forms.RadioSelect
    )
    place = forms.CharField(label=_("Place"), max_length=60, required=False)
    capacity_mg = MassField(
        label=_("Takes at once"),
        required=False,
        help_text=_("Hopper and barrel, frame or batch. A load above it is asked back."),
    )
    note = forms.CharField(
        label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args, has_runs: bool = False, **options):
        super().__init__(*args, **options)
        if has_runs:
            self.fields["kind"].disabled = True
            self.fields["kind"].help_text = _("It has run as this, so it stays this.")

    def fields_of_machine(self) -> dict:
        """Return the fields of the machine that the valid form describes."""
        return {name: self.cleaned_data[name] for name in OF_MACHINE}


class PurgeForm(ReasonForm):
    """A machine was purged or cleaned out, and how."""

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        self.fields["reason"].label = _("How it was purged")
        self.fields["reason"].help_text = _("Such as: run empty, then 2 kg of clean PP.")


class ToolingForm(ActForm):
    """What tooling is called and what it is."""

    name = forms.CharField(label=_("Name"), max_length=80)
    kind = forms.ChoiceField(
        label=_("It is a"), choices=Tooling.Kind.choices, widget=forms.RadioSelect
    )
    cavities = forms.IntegerField(
        label=_("Cavities"),
        min_value=1,
        max_value=1000,
        initial=1,
        help_text=_("Pieces in one go."),
    )
    capacity_mg = MassField(
        label=_("Takes at once"),
        required=False,
        help_text=_("What a frame or mould holds. A load above it is asked back."),
    )
    note = forms.CharField(
        label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def fields_of_tooling(self) -> dict:
        """Return the fields of the tooling that the valid form describes."""
        return {name: self.cleaned_data[name] for name in OF_TOOLING}
