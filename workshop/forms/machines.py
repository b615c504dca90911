"""Forms of machines and tooling."""

from decimal import Decimal

from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, MassField, ReasonForm
from products.models import Design, Work
from workshop.models import Machine, Tooling

MOST_MINUTES = 10_000
OF_MACHINE = ("name", "kind", "place", "capacity_mg", "note")
OF_TOOLING = (
    "name",
    "kind",
    "work",
    "cavities",
    "capacity_mg",
    "make",
    "clamp",
    "changeover_minutes",
    "condition",
    "upkeep",
    "upkeep_on",
    "note",
)
MM3_PER_CM3 = 1000
NOT_SAID = [("", _("not said"))]


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
    work = forms.ChoiceField(label=_("Used to"), required=False, choices=[*NOT_SAID, *Work.choices])
    designs = forms.ModelMultipleChoiceField(
        label=_("For these designs"),
        queryset=Design.objects.filter(withdrawn_at=None),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    make = forms.ChoiceField(
        label=_("How it was made"), required=False, choices=[*NOT_SAID, *Tooling.Make.choices]
    )
    shot_cm3 = forms.DecimalField(
        label=_("Shot volume"),
        required=False,
        min_value=Decimal("0.001"),
        max_digits=9,
        decimal_places=3,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        help_text=_("All cavities with their runners."),
    )
    clamp = forms.ChoiceField(
        label=_("Clamped by"), required=False, choices=[*NOT_SAID, *Tooling.Clamp.choices]
    )
    changeover_minutes = forms.IntegerField(
        label=_("Changing over"),
        required=False,
        min_value=0,
        max_value=MOST_MINUTES,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    condition = forms.ChoiceField(
        label=_("Condition"),
        choices=Tooling.Condition.choices,
        initial=Tooling.Condition.GOOD,
        required=False,
        widget=forms.RadioSelect,
    )
    upkeep = forms.CharField(label=_("Upkeep"), max_length=200, required=False)
    upkeep_on = forms.DateField(
        label=_("Next upkeep on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    note = forms.CharField(
        label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args, tooling: Tooling | None = None, **options):
        super().__init__(*args, **options)
        if tooling:
            mm3, designs = tooling.shot_mm3, list(tooling.designs.all())
            shown = {name: getattr(tooling, name) for name in OF_TOOLING}
            shown |= {"designs": designs, "shot_cm3": mm3 and f"{mm3 / MM3_PER_CM3:g}"}
            self.initial = shown | self.initial
            keys = [design.pk for design in designs]
            self.fields["designs"].queryset = Design.objects.filter(
                Q(withdrawn_at=None) | Q(pk__in=keys)
            )

    def clean_condition(self):
        return self.cleaned_data["condition"] or Tooling.Condition.GOOD

    def fields_of_tooling(self) -> dict:
        """Return the fields of the tooling that the valid form describes."""
        sent = self.cleaned_data
        shot_mm3 = int(sent["shot_cm3"] * MM3_PER_CM3) if sent["shot_cm3"] else None
        return {name: sent[name] for name in OF_TOOLING} | {"shot_mm3": shot_mm3}
