"""Bins: what is asked of a new one, and how the board is searched."""

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Exists, Q
from django.utils.translation import gettext_lazy as _

from inventory.actions.bins import BinPlan
from inventory.forms.fields import ActForm, MassField
from inventory.forms.filters import (
    choice_filter,
    colour_filter,
    form_filter,
    polymer_filter,
    search_filter,
)
from inventory.models import Bin, Colour, Hold, Polymer
from inventory.queries.bins import STATES, open_lots_of_bin
from inventory.queries.codes import own_code, void_note
from inventory.queries.lots import lot_named
from inventory.queries.masses import in_units


class BinForm(ActForm):
    """What a bin is to be."""

    happened_at = None
    name = forms.CharField(
        label=_("Name"), max_length=20, help_text=_("Short, as on the lid: B-07.")
    )
    place = forms.CharField(label=_("Place"), max_length=60, required=False)
    capacity = MassField(label=_("Most it may hold"), help_text=in_units(_("%(unit)s of plastic")))
    tare = MassField(
        label=_("Tare"),
        required=False,
        help_text=in_units(_("%(unit)s, the empty bin with its lid")),
    )
    polymer = forms.ModelChoiceField(
        label=_("Kept for polymer"),
        queryset=Polymer.objects.all(),
        to_field_name="symbol",
        required=False,
        empty_label=_("any, one at a time"),
    )
    colour = forms.ModelChoiceField(
        label=_("Kept for colour"),
        queryset=Colour.objects.all(),
        to_field_name="name",
        required=False,
        empty_label=_("any, one at a time"),
        help_text=_("Choose “mixed” for a bin that takes colours together."),
    )

    def plan(self) -> BinPlan:
        """Return what the valid form asks for."""
        data = self.cleaned_data
        return BinPlan(
            name=data["name"],
            place=data["place"],
            capacity_mg=data["capacity"],
            tare_mg=data["tare"] or 0,
            polymer=data["polymer"],
            colour=data["colour"],
        )

    @staticmethod
    def initial_of(bin: Bin) -> dict:
        """Return what the form shows for a bin that exists."""
        return {
            "name": bin.name,
            "place": bin.place,
            "capacity": bin.capacity_mg,
            "tare": bin.tare_mg or None,
            "polymer": bin.polymer.symbol if bin.polymer else None,
            "colour": bin.colour.name if bin.colour else None,
        }


class PutForm(forms.Form):
    """What goes into a bin: a code, a delivery's number or a bin, cleaned to the lot."""

    code = forms.CharField(
        label=_("What goes in"),
        max_length=200,
        help_text=_("Scan or type a code, a delivery such as D-0042, or a bin such as B-07."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )

    def clean_code(self):
        text = self.cleaned_data["code"]
        if note := void_note(text):
            raise ValidationError(note, code="void-label")
        if lot := lot_named(text):
            return lot
        raise ValidationError(
            _("Nothing called %(text)s can go in: check the code, or the bin may be empty."),
            code="not-found",
            params={"text": text},
        )


def places():
    """Return the places that bins in use stand at."""
    names = Bin.objects.in_use().exclude(place="").order_by("place")
    return [(name, name) for name in names.values_list("place", flat=True).distinct()]


class BinFilter(django_filters.FilterSet):
    """How the board is searched, filtered and sorted; retired bins show only when asked for."""

    q = search_filter(_("Name, place or code"))
    polymer = polymer_filter(method="with_polymer")
    colour = colour_filter(method="with_colour")
    place = choice_filter(_("Place"), places)
    state = choice_filter(_("State"), list(STATES.items()), method="in_state")
    form = form_filter(method="with_form")
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields={
            "name": "name",
            "place": "place",
            "held_mg": "held",
            "counted_since": "counted",
        },
        choices=[
            ("name", _("name")),
            ("place", _("place")),
            ("-held", _("fullest first")),
            ("held", _("emptiest first")),
            ("counted", _("longest not counted first")),
        ],
        empty_label=_("name"),
    )

    class Meta:
        model = Bin
        fields = []

    def filter_queryset(self, queryset):
        if self.form.cleaned_data.get("state") != "retired":
            queryset = queryset.filter(retired_at__isnull=True)
        return super().filter_queryset(queryset)

    def search(self, bins, name, text):
        code = own_code(text) or ""
        return bins.filter(Q(name__icontains=text) | Q(place__icontains=text) | Q(code=code))

    def with_polymer(self, bins, name, polymer):
        return bins.filter(holds(polymer=polymer) | Q(held_mg=0, polymer=polymer))

    def with_colour(self, bins, name, colour):
        return bins.filter(holds(colour=colour) | Q(held_mg=0, colour=colour))

    def with_form(self, bins, name, form):
        return bins.filter(holds(form=form))

    def in_state(self, bins, name, state):
        return bins.filter(
            {
                "held": holds(holds__in=Hold.objects.open()),
                "unknown": holds(polymer=None),
                "empty": Q(held_mg=0),
                "filled": Q(held_mg__gt=0),
                "retired": Q(retired_at__isnull=False),
            }[state]
        )


def holds(**narrower) -> Exists:
    """Return the condition that a bin holds such a lot now."""
    return Exists(open_lots_of_bin(**narrower))
