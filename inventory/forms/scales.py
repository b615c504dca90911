"""Scales: what is asked of one, and how their list is searched."""

import django_filters
from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, MassField
from inventory.forms.filters import choice_filter, search_filter
from inventory.models import Scale


class ScaleForm(ActForm):
    """A scale with its capacity and the step of its display."""

    happened_at = None
    name = forms.CharField(label=_("Name"), max_length=60)
    capacity = MassField(label=_("Weighs at most"))
    resolution = MassField(
        label=_("Step of its display"), unit="g", help_text=_("The smallest change it shows")
    )
    is_in_use = forms.BooleanField(label=_("In use"), required=False, initial=True)

    def fields_to_save(self) -> dict:
        """Return what the valid form asks to be kept; masses in mg."""
        data = self.cleaned_data
        return {
            "name": data["name"],
            "capacity_mg": data["capacity"],
            "resolution_mg": data["resolution"],
            "is_in_use": data["is_in_use"],
        }

    @staticmethod
    def initial_of(scale: Scale) -> dict:
        """Return what the form shows for a scale that exists."""
        return {
            "name": scale.name,
            "capacity": scale.capacity_mg,
            "resolution": scale.resolution_mg,
            "is_in_use": scale.is_in_use,
        }


class ScaleFilter(django_filters.FilterSet):
    """How scales are searched, filtered and sorted."""

    q = search_filter(_("Name"))
    in_use = choice_filter(_("In use"), [("yes", _("yes")), ("no", _("no"))], method="still_in_use")
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields={"name": "name", "capacity_mg": "capacity", "resolution_mg": "step"},
        choices=[
            ("name", _("name")),
            ("-capacity", _("largest first")),
            ("step", _("finest first")),
        ],
        empty_label=_("name"),
    )

    class Meta:
        model = Scale
        fields = []

    def search(self, scales, name, text):
        return scales.filter(name__icontains=text)

    def still_in_use(self, scales, name, answer):
        return scales.filter(is_in_use=answer == "yes")
