"""Forms of machines and tooling."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, MassField, NumberField, ReasonForm, SomeField
from products.models import Design, Work
from workshop.models import Machine, Tooling

MOST_MINUTES = 10_000
MOST_KN, MOST_MM = (
    200_000,
    20_000,
)  # what machines and frames of a workshop stay below: common practice
PLATEN = ("platen_length_mm", "platen_width_mm")
OF_MACHINE = ("name", "kind", "place", "capacity_mg", "force_kn", *PLATEN, "note")
VOLUMES = ("shot", "barrel")
SIDES = {side: f"frame_{side}_um" for side in ("length", "width", "depth")}
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
MM2_PER_CM2 = 100
UM_PER_MM = 1000
NOT_SAID = [("", _("not said"))]


def whole_box(label, most: int, **options) -> forms.IntegerField:
    """Return a box for a whole number above zero that may stay empty."""
    box = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    return forms.IntegerField(
        label=label, min_value=1, max_value=most, required=False, widget=box, **options
    )


def fine_box(label, **options) -> NumberField:
    """Return a box for a number above zero with up to three decimals that may stay empty."""
    least = {"min_value": Decimal("0.001"), "required": False}
    return NumberField(label=label, max_digits=9, decimal_places=3, **least, **options)


def shown_as(value: int | None, units: int) -> str | None:
    """Return a whole number as a box holds it in larger units."""
    return f"{Decimal(value) / units:f}" if value else None


def need_all_or_none(form: forms.Form, names: list[str]) -> None:
    """Put an error onto the empty boxes of those that are filled together or not at all."""
    empty = [name for name in names if form.cleaned_data.get(name) is None]
    if 0 < len(empty) < len(names):
        sentence = _("Fill all of these boxes, or none.")
        for name in empty:
            if name not in form.errors:
                form.add_error(name, ValidationError(sentence, code="incomplete"))


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
    force_kn = whole_box(
        _("Force"), MOST_KN, help_text=_("That a press gives, or that shuts a mould.")
    )
    platen_length_mm = whole_box(_("Platen length"), MOST_MM)
    platen_width_mm = whole_box(_("Platen width"), MOST_MM)
    shot_cm3 = fine_box(_("Shot volume"), help_text=_("What it injects at most in one shot."))
    barrel_cm3 = fine_box(
        _("Barrel volume"),
        help_text=_("All that melt fills: between the flights and before the screw."),
    )
    note = forms.CharField(
        label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args, has_runs: bool = False, **options):
        super().__init__(*args, **options)
        if has_runs:
            self.fields["kind"].disabled = True
            self.fields["kind"].help_text = _("It has run as this, so it stays this.")

    def clean(self):
        data = super().clean()
        need_all_or_none(self, list(PLATEN))
        shot, barrel = data.get("shot_cm3"), data.get("barrel_cm3")
        if shot and barrel and barrel < shot:
            sentence = _("A barrel holds at least one shot; look at both volumes.")
            self.add_error("barrel_cm3", ValidationError(sentence, code="below-shot"))
        return data

    def fields_of_machine(self) -> dict:
        """Return the fields of the machine that the valid form describes."""
        sent = self.cleaned_data
        volumes = {
            f"{name}_mm3": int(sent[f"{name}_cm3"] * MM3_PER_CM3) if sent[f"{name}_cm3"] else None
            for name in VOLUMES
        }
        return {name: sent[name] for name in OF_MACHINE} | volumes


def values_of_machine(machine: Machine) -> dict:
    """Return a machine as its form holds it."""
    volumes = {
        f"{name}_cm3": shown_as(getattr(machine, f"{name}_mm3"), MM3_PER_CM3) for name in VOLUMES
    }
    return {name: getattr(machine, name) for name in OF_MACHINE} | volumes


class PurgeForm(ReasonForm):
    """A machine was purged or cleaned out, and how."""

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        self.fields["reason"].label = _("How it was purged")
        self.fields["reason"].help_text = _("Such as: run empty, then 2 kg of clean PP.")


class ToolingForm(ActForm):
    """What tooling is called and what it is."""

    refused_at = {"wrong-tooling": "designs", "name-taken": "name"}

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
    designs = SomeField(
        label=_("For these designs"),
        queryset=Design.objects.filter(withdrawn_at=None),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    make = forms.ChoiceField(
        label=_("How it was made"), required=False, choices=[*NOT_SAID, *Tooling.Make.choices]
    )
    frame_length = fine_box(_("Frame length"), help_text=_("Inside; of a frame or a plate mould."))
    frame_width = fine_box(_("Frame width"))
    frame_depth = fine_box(_("Frame depth"))
    shot_cm3 = fine_box(_("Shot volume"), help_text=_("All cavities with their runners."))
    projected_cm2 = NumberField(
        label=_("Projected area"),
        required=False,
        max_digits=9,
        min_value=Decimal("0.01"),
        help_text=_("Of a mould, as seen along the force: all cavities with their runners."),
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
            designs = list(tooling.designs.all())
            self.initial = values_of_tooling(tooling) | {"designs": designs} | self.initial
            keys = [design.pk for design in designs]
            self.fields["designs"].queryset = Design.objects.filter(
                Q(withdrawn_at=None) | Q(pk__in=keys)
            )

    def clean_condition(self):
        return self.cleaned_data["condition"] or Tooling.Condition.GOOD

    def clean(self):
        data = super().clean()
        need_all_or_none(self, [f"frame_{side}" for side in SIDES])
        return data

    def fields_of_tooling(self) -> dict:
        """Return the fields of the tooling that the valid form describes."""
        sent = self.cleaned_data
        sizes = {
            "shot_cm3": ("shot_mm3", MM3_PER_CM3),
            "projected_cm2": ("projected_mm2", MM2_PER_CM2),
        }
        sizes |= {f"frame_{side}": (name, UM_PER_MM) for side, name in SIDES.items()}
        measured = {
            name: int(sent[box] * units) if sent[box] else None
            for box, (name, units) in sizes.items()
        }
        return {name: sent[name] for name in OF_TOOLING} | measured


def values_of_tooling(tooling: Tooling) -> dict:
    """Return tooling as its form holds it, without its designs."""
    sides = {
        f"frame_{side}": shown_as(getattr(tooling, name), UM_PER_MM) for side, name in SIDES.items()
    }
    return (
        {name: getattr(tooling, name) for name in OF_TOOLING}
        | sides
        | {
            "shot_cm3": shown_as(tooling.shot_mm3, MM3_PER_CM3),
            "projected_cm2": shown_as(tooling.projected_mm2, MM2_PER_CM2),
        }
    )
