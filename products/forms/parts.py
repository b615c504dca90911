"""Forms of parts: handing over, taking back, and searching the list."""

import django_filters
from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.calculations.codes import normalise_code
from inventory.forms.fields import ActForm
from inventory.models import Colour, Polymer
from products.models import Design, Part
from products.queries.parts import PartState

DAY = forms.DateInput(attrs={"type": "date"})


class HandOverForm(ActForm):
    """A part goes into use."""

    to = forms.CharField(
        label=_("To whom or where"),
        max_length=120,
        required=False,
        help_text=_("A word that finds it again; no private addresses."),
    )


class TakeBackForm(ActForm):
    """A part comes back."""

    state = forms.CharField(
        label=_("Its state"), max_length=200, required=False, help_text=_("Such as: worn, cracked.")
    )


class PartFilter(django_filters.FilterSet):
    """Search, filter and sort the list of parts."""

    q = django_filters.CharFilter(
        label=_("Code or design"),
        method="search",
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    state = django_filters.ChoiceFilter(
        label=_("State"), choices=PartState.choices, empty_label=_("any")
    )
    design = django_filters.ModelChoiceFilter(
        label=_("Design"), queryset=Design.objects.all(), empty_label=_("any")
    )
    polymer = django_filters.ModelChoiceFilter(
        label=_("Polymer"),
        field_name="lot__polymer",
        queryset=Polymer.objects.all(),
        empty_label=_("any"),
    )
    colour = django_filters.ModelChoiceFilter(
        label=_("Colour"),
        field_name="lot__colour",
        queryset=Colour.objects.all(),
        empty_label=_("any"),
    )
    made_from = django_filters.DateFilter(
        label=_("Made from"), field_name="made_at", lookup_expr="date__gte", widget=DAY
    )
    made_to = django_filters.DateFilter(
        label=_("Made up to"), field_name="made_at", lookup_expr="date__lte", widget=DAY
    )
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields=[("made_at", "made"), ("design__name", "design"), ("lot__in_mg", "mass")],
        field_labels={
            "made_at": _("made"),
            "design__name": _("design"),
            "lot__in_mg": _("mass"),
        },
        empty_label=_("newest first"),
    )

    class Meta:
        model = Part
        fields = []

    def search(self, queryset, _name, value):
        """Keep parts whose code begins so, or whose design or run is called so."""
        typed = "".join(value.split()).replace("-", "").upper()
        code = normalise_code(value) or typed
        named = Q(design__name__icontains=value) | Q(made_in__reference__iexact=f"run {value}")
        return queryset.filter(named | Q(code__startswith=code))
