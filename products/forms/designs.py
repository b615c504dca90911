"""Forms of designs: adding, changing, withdrawing, and searching the list."""

import django_filters
from django import forms
from django.core.validators import MinValueValidator
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, MassField
from inventory.forms.filters import choice_filter, polymer_filter, search_filter
from inventory.models import Form, Polymer
from products.models import MAKES_PARTS, Design


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

    q = search_filter(_("Name"))
    made_by = choice_filter(_("Made by"), [(each, each.label) for each in MAKES_PARTS])
    polymer = polymer_filter(field_name="polymers")
    offered = choice_filter(
        _("Offered"), [("yes", _("still made")), ("no", _("withdrawn"))], method="still_offered"
    )
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields={"name": "name", "nominal_mass_mg": "mass", "in_stock": "stock", "in_use": "use"},
        choices=[
            ("-name", _("name, from the end")),
            ("-mass", _("heaviest first")),
            ("mass", _("lightest first")),
            ("-stock", _("most in stock first")),
            ("-use", _("most in use first")),
        ],
        empty_label=_("name"),
    )

    class Meta:
        model = Design
        fields = []

    def search(self, designs, name, text):
        """Keep the designs that are called so."""
        return designs.filter(name__icontains=text)

    def still_offered(self, designs, name, answer):
        """Keep the designs that are still made, or the withdrawn ones."""
        return designs.filter(withdrawn_at__isnull=answer == "yes")
