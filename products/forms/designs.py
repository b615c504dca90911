"""Forms of designs: adding, changing, withdrawing, and searching the list."""

import django_filters
from django import forms
from django.core.validators import MinValueValidator
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, MassField
from inventory.models import Form, Polymer
from products.models import MAKES_PARTS, Design

SEARCH = forms.TextInput(attrs={"type": "search", "autocomplete": "off"})


class DesignForm(ActForm):
    """What is made: masses are typed in kg, the thickness in mm."""

    name = forms.CharField(label=_("Name"), max_length=80)
    made_by = forms.ChoiceField(
        label=_("Made by"),
        choices=[(each, each.label) for each in MAKES_PARTS],
        widget=forms.RadioSelect,
    )
    form = forms.ChoiceField(
        label=_("It is a"),
        choices=[(each, each.label) for each in (Form.PART, Form.SHEET, Form.PROFILE)],
        widget=forms.RadioSelect,
        initial=Form.PART,
    )
    nominal_mass_mg = MassField(label=_("Mass of one piece"))
    tracked = forms.ChoiceField(
        label=_("Each code stands for"),
        choices=[
            (Design.Tracking.PIECE, _("one piece")),
            (Design.Tracking.BAG, _("a bag of them")),
        ],
        widget=forms.RadioSelect,
        initial=Design.Tracking.PIECE,
    )
    polymers = forms.ModelMultipleChoiceField(
        label=_("Polymers allowed"),
        queryset=Polymer.objects.filter(is_rejected=False),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=_("None ticked: every polymer that the machine may work."),
    )
    thickness_mm = forms.DecimalField(
        label=_("Thickness"),
        max_digits=6,
        decimal_places=2,
        required=False,
        validators=[MinValueValidator(0.01)],
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    pieces_per_cycle = forms.IntegerField(
        label=_("Pieces made at once"), min_value=1, max_value=1000, initial=1
    )
    note = forms.CharField(
        label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def fields_of_design(self) -> dict:
        """Return the fields of the design that the valid form describes."""
        apart = {"key", "happened_at", "polymers"}
        return {name: value for name, value in self.cleaned_data.items() if name not in apart}


def values_of(design: Design) -> dict:
    """Return a design as the first values of its form."""
    names = DesignForm.base_fields.keys() - {"key", "happened_at", "polymers"}
    values = {name: getattr(design, name) for name in names}
    return values | {"polymers": list(design.polymers.all())}


class DesignFilter(django_filters.FilterSet):
    """Search, filter and sort the list of designs."""

    q = django_filters.CharFilter(
        field_name="name", lookup_expr="icontains", label=_("Name"), widget=SEARCH
    )
    made_by = django_filters.ChoiceFilter(
        label=_("Made by"),
        choices=[(each, each.label) for each in MAKES_PARTS],
        empty_label=_("any way"),
    )
    polymers = django_filters.ModelChoiceFilter(
        label=_("Polymer"), queryset=Polymer.objects.all(), empty_label=_("any")
    )
    offered = django_filters.ChoiceFilter(
        label=_("Offered"),
        choices=[("yes", _("still made")), ("no", _("withdrawn"))],
        method="only_offered",
        empty_label=_("both"),
    )
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields=[
            ("name", "name"),
            ("nominal_mass_mg", "mass"),
            ("in_stock", "stock"),
            ("in_use", "use"),
        ],
        field_labels={
            "name": _("name"),
            "nominal_mass_mg": _("mass"),
            "in_stock": _("in stock"),
            "in_use": _("in use"),
        },
        empty_label=_("name"),
    )

    class Meta:
        model = Design
        fields = []

    def only_offered(self, queryset, _name, value):
        """Keep the designs that are still made, or the withdrawn ones."""
        return queryset.filter(withdrawn_at__isnull=value == "yes")
