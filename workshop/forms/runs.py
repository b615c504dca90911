"""Forms of runs: opening, closing, giving up, opening again, and searching the list."""

import django_filters
from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from inventory.forms.filters import (
    choice_filter,
    day_filter,
    named_filter,
    search_filter,
    sort_filter,
)
from products.models import Design, Operation
from workshop.actions.planned_sheets import LONGEST_ADDRESS
from workshop.actions.runs import RunPlan
from workshop.calculations.operations import HEATED, RULES
from workshop.models import Machine, Run, Tooling
from workshop.queries.codes import numbered_thing
from workshop.queries.machines import machines_for, tooling_for
from workshop.queries.planned_sheets import counted_parts

FEW = 8
OF_DESIGN = "of-design"
MOST_LETTERS = 4000
OTHER_LOSS = "other"
LOSSES = [
    ("spilt", _("spilt or swept away")),
    ("stuck", _("stuck in the machine or the tooling")),
    ("driven-off", _("water or fumes driven off")),
    ("unweighed", _("taken out without weighing")),
    (OTHER_LOSS, _("something else, named below")),
]


class MachineChoice(forms.ModelChoiceField):
    """Machines, each with what it last worked and the runs that are open on it."""

    def label_from_instance(self, machine):
        said = [machine.name]
        if machine.last_polymer:
            said.append(_("last worked %(symbol)s") % {"symbol": machine.last_polymer.symbol})
        if machine.open_now:
            numbers = ", ".join(run.number for run in machine.open_now)
            said.append(_("another run is open on it: %(runs)s") % {"runs": numbers})
        return ", ".join(map(str, said))


class ToolingChoice(forms.ModelChoiceField):
    """Tooling; it says what it is meant for, and when it is not in good condition."""

    def label_from_instance(self, tooling):
        names = ", ".join(design.name for design in tooling.designs.all())
        said = [tooling.name]
        said += [_("for %(designs)s") % {"designs": names}] if names else []
        if tooling.condition != tooling.Condition.GOOD:
            said.append(str(tooling.get_condition_display()))
        return ", ".join(said)


class OwnToolingChoice(ToolingChoice):
    """Tooling by name, or whatever is meant for the design: `OF_DESIGN`."""

    def to_python(self, value):
        return value if value == OF_DESIGN else super().to_python(value)

    def validate(self, value):
        if value != OF_DESIGN:
            super().validate(value)


class SheetsField(forms.CharField):
    """Codes of sheets with commas between them; as often as a code stands there, so many of its bag."""

    def __init__(self, **options):
        super().__init__(max_length=MOST_LETTERS, required=False, **options)

    def clean(self, value):
        parts, unknown = counted_parts(super().clean(value))
        if unknown:
            sentence = _("There is no part called %(codes)s; look at its label again.")
            facts = {"codes": ", ".join(unknown)[:60]}
            raise ValidationError(sentence, code="no-part", params=facts)
        return tuple(parts)


class RunForm(ActForm):
    """Sets up a run of one operation; it has the fields that this operation needs and no others."""

    machine = MachineChoice(
        label=_("Machine"), queryset=None, widget=forms.RadioSelect, empty_label=None
    )
    design = forms.ModelChoiceField(label=_("Design"), queryset=None)
    tooling = OwnToolingChoice(
        label=_("Tooling"), queryset=None, required=False, empty_label=_("none")
    )
    planned_pieces = forms.IntegerField(
        label=_("Pieces planned"),
        min_value=1,
        max_value=1_000_000,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    settings_note = forms.CharField(
        label=_("Settings"),
        max_length=300,
        required=False,
        help_text=_("Such as temperatures and times, in your own words."),
    )
    refused_at = dict.fromkeys(("needs-mending", "wrong-tooling"), "tooling") | dict.fromkeys(
        ("no-sheets", "not-in-stock", "spoken-for", "too-many"), "sheets"
    )

    sheets = SheetsField(
        label=_("Sheets it is to cut"),
        help_text=_("Their codes with commas between them, as a cut plan fills them in. Or none."),
        widget=forms.Textarea(attrs={"rows": 2, "autocomplete": "off", "spellcheck": "false"}),
    )
    cutting_list = forms.CharField(
        max_length=LONGEST_ADDRESS, required=False, widget=forms.HiddenInput
    )
    note = forms.CharField(
        label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args, operation: str, **options):
        self.operation = operation
        super().__init__(*args, **options)
        self.offer_machines()
        self.offer_designs()
        self.offer_tooling()
        if not HEATED & set(RULES[operation].machines):
            del self.fields["settings_note"]
        if operation != Operation.CUT:
            del self.fields["sheets"], self.fields["cutting_list"]

    def offer_machines(self):
        """Offer the machines of the operation; a single one is chosen already."""
        machines = machines_for(self.operation)
        self.fields["machine"].queryset = machines
        if len(machines) == 1:
            self.fields["machine"].initial = machines[0]

    def offer_designs(self):
        """Offer the designs made this way, where the operation makes parts."""
        rule = RULES[self.operation]
        if "part" not in rule.yields:
            del self.fields["design"], self.fields["planned_pieces"]
            return
        field = self.fields["design"]
        field.required = rule.needs_design
        field.queryset = Design.objects.filter(made_by=self.operation, withdrawn_at=None)
        as_large_choices(field, none=_("no design: the run makes material"))

    def offer_tooling(self):
        """Offer the tooling of the operation, where there is any."""
        tooling = tooling_for(self.operation)
        if not tooling:
            del self.fields["tooling"]
            return
        field = self.fields["tooling"]
        field.queryset = tooling
        as_large_choices(field, none=_("none"))
        if "design" in self.fields:
            field.initial = OF_DESIGN
            field.widget.choices = [(OF_DESIGN, _("what is meant for the design")), *field.choices]

    def clean(self):
        data = super().clean()
        if data.get("tooling") == OF_DESIGN:
            data["tooling"] = self.tooling_of(data.get("design"))
        return data

    def tooling_of(self, design: Design | None) -> Tooling | None:
        """Return the tooling that is meant for a design, or none; asks where there is a choice."""
        rows = self.fields["tooling"].queryset
        meant = [tool for tool in rows if design in tool.designs.all()]
        if len(meant) > 1:
            sentence = _("%(design)s has more than one; choose %(names)s.")
            facts = {"design": design.name, "names": ", ".join(tool.name for tool in meant)}
            self.add_error("tooling", ValidationError(sentence, code="several", params=facts))
            return None
        return meant[0] if meant else None

    def plan(self) -> RunPlan:
        """Return what the valid form plans."""
        apart = {"key", "happened_at"}
        fields = {name: value for name, value in self.cleaned_data.items() if name not in apart}
        return RunPlan(operation=self.operation, **fields)


def as_large_choices(field: forms.ModelChoiceField, none) -> None:
    """Let a few choices be large boxes instead of a list that unfolds."""
    if len(field.queryset) > FEW:
        return
    field.empty_label = None if field.required else none
    field.widget = forms.RadioSelect(choices=field.choices)


class CloseForm(ActForm):
    """Closes a run; a gap that the scales cannot explain needs a word on where it went."""

    refused_at = {"gap": "loss"}

    loss = forms.ChoiceField(
        label=_("Where did the rest go?"),
        choices=LOSSES,
        required=False,
        widget=forms.RadioSelect,
    )
    reason = forms.CharField(
        label=_("In your own words"),
        max_length=200,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Such as: fell behind the press."),
    )

    def __init__(self, *args, has_gap: bool, **options):
        super().__init__(*args, **options)
        if not has_gap:
            del self.fields["reason"], self.fields["loss"]

    def clean(self):
        data = super().clean()
        if "loss" not in self.fields or self.errors:
            return data
        name = "" if data.get("loss") == OTHER_LOSS else dict(LOSSES).get(data.get("loss"), "")
        words = [str(part) for part in (name, data.get("reason")) if part]
        if not words and data.get("loss"):
            sentence = _("Say here in your own words where it went, or choose another answer.")
            self.add_error("reason", ValidationError(sentence, code="gap"))
        elif not words:
            sentence = _("Say where it went; the scales do not explain this gap.")
            self.add_error("loss", ValidationError(sentence, code="gap"))
        return data | {"reason": ": ".join(words)}


class RunFilter(django_filters.FilterSet):
    """Search, filter and sort the list of runs."""

    q = search_filter(_("Number, design or machine"))
    state = choice_filter(
        _("State"),
        [("open", _("open")), ("closed", _("closed")), ("abandoned", _("abandoned"))],
        method="in_state",
    )
    operation = choice_filter(_("Operation"), Operation.choices)
    machine = named_filter(_("Machine"), Machine, "pk", {})
    design = named_filter(_("Design"), Design, "pk", {})
    operator = named_filter(_("Operator"), User, "username", {})
    opened_from = day_filter(_("Opened from"), field_name="opened_at", lookup_expr="date__gte")
    opened_to = day_filter(_("Opened up to"), field_name="opened_at", lookup_expr="date__lte")
    sort = sort_filter(
        {
            "pk": "number",
            "opened_at": "opened",
            "operation": "operation",
            "machine__name": "machine",
            "design__name": "design",
            "operator__username": "operator",
        },
        [
            ("number", _("oldest first")),
            ("operation", _("operation")),
            ("machine", _("machine")),
            ("design", _("design")),
            ("operator", _("operator")),
        ],
    )

    class Meta:
        model = Run
        fields = []

    def search(self, runs, name, text):
        """Keep the run of a number, or runs whose design, machine or note is called so."""
        thing = numbered_thing(text.strip())
        if isinstance(thing, Run):
            return runs.filter(pk=thing.pk)
        named = Q(design__name__icontains=text) | Q(machine__name__icontains=text)
        return runs.filter(named | Q(note__icontains=text))

    def in_state(self, runs, name, state):
        """Keep the runs of one state."""
        if state == "open":
            return runs.open()
        return runs.filter(closed_at__isnull=False, is_abandoned=state == "abandoned")
