"""Forms of plans: what is asked, and what starts a run from the answer."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from inventory.models import Colour, Polymer
from products.models import Design
from workshop.forms.runs import MachineChoice, ToolingChoice, as_large_choices
from workshop.models import Tooling
from workshop.queries.machines import machines_for, tooling_for
from workshop.queries.plans import PlanQuestion

MOST_PIECES = 100_000
MOST_BINS = 60


def number_box() -> forms.TextInput:
    """Return a box that opens the number pad."""
    return forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class PlanForm(forms.Form):
    """What a run is to make, on what and of what; its fields are those of the design."""

    pieces = forms.IntegerField(
        label=_("Pieces"), min_value=1, max_value=MOST_PIECES, widget=number_box()
    )
    machine = MachineChoice(
        label=_("Machine"), queryset=None, widget=forms.RadioSelect, empty_label=None
    )
    tooling = ToolingChoice(
        label=_("Tooling"), queryset=None, required=False, empty_label=_("none")
    )
    polymer = forms.ModelChoiceField(label=_("Polymer"), queryset=None)
    colour = forms.ModelChoiceField(
        label=_("Colour"),
        queryset=Colour.objects.all(),
        required=False,
        empty_label=_("any colour"),
    )
    recycled_percent = forms.IntegerField(
        label=_("Recycled content, at least"),
        min_value=0,
        max_value=100,
        required=False,
        widget=number_box(),
        help_text=_("Post- and pre-consumer together; unknown counts as none."),
    )
    most_bins = forms.IntegerField(
        label=_("Bins, at most"),
        min_value=1,
        max_value=MOST_BINS,
        required=False,
        widget=number_box(),
        help_text=_("Empty: old bins are emptied first, however many that takes."),
    )

    def __init__(self, *args, design: Design, **options):
        super().__init__(*args, **options)
        self.design = design
        self.offer("machine", machines_for(design.made_by))
        self.offer("polymer", polymers_for(design))
        tooling = tooling_for(design.made_by, design)
        if tooling:
            self.fields["tooling"].queryset = tooling
            self.fields["tooling"].initial = only_one_for(design, tooling)
            as_large_choices(self.fields["tooling"], none=_("none"))
        else:
            del self.fields["tooling"]

    def offer(self, name: str, rows) -> None:
        """Offer some rows in large; a single one is chosen already."""
        field = self.fields[name]
        field.queryset = rows
        if len(rows) == 1:
            field.initial = rows[0]
        if name == "polymer":
            as_large_choices(field, none=None)

    def question(self) -> PlanQuestion:
        """Return what the valid form asks."""
        return PlanQuestion(design=self.design, **self.cleaned_data)


def only_one_for(design: Design, tooling) -> Tooling | None:
    """Return the tooling that is chosen already: the only one that is meant for a design, if it is fit for use."""
    meant = [tool for tool in tooling if design in tool.designs.all()]
    return meant[0] if len(meant) == 1 and meant[0].condition != Tooling.Condition.MEND else None


def polymers_for(design: Design):
    """Return the polymers of which a design can be made."""
    allowed = design.polymers.filter(is_rejected=False)
    return allowed if allowed else Polymer.objects.filter(is_rejected=False)


class PlanStartForm(ActForm):
    """Starts a run from a plan: the token is that of the plan that was shown."""

    token = forms.CharField(widget=forms.HiddenInput, max_length=64)
