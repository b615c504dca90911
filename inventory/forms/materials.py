"""Polymers and the blends that the lead allows."""

import django_filters
from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import NumberField, ReasonForm
from inventory.forms.filters import choice_filter, search_filter
from inventory.models import Polymer
from inventory.queries.materials import spelling_key

SINGLE = Polymer.objects.filter(is_rejected=False, blend__isnull=True)


class BlendForm(ReasonForm):
    """Two polymers that may go together, or no longer may."""

    happened_at = None
    main = forms.ModelChoiceField(label=_("Main polymer"), queryset=SINGLE, to_field_name="symbol")
    added = forms.ModelChoiceField(
        label=_("Added polymer"), queryset=SINGLE, to_field_name="symbol"
    )
    most_added = NumberField(
        label=_("Most of the added one"),
        required=False,
        min_value=0.1,
        max_value=99.9,
        decimal_places=1,
        help_text=_("Per cent by mass; leave empty for no limit."),
    )
    is_on = forms.TypedChoiceField(
        label=_("This blend is"),
        choices=[("on", _("allowed")), ("off", _("not allowed"))],
        coerce=lambda answer: answer == "on",
        initial="on",
        widget=forms.RadioSelect,
    )

    def pair(self) -> dict:
        """Return what the valid form asks for; the limit in thousandths."""
        data = self.cleaned_data
        limit = data["most_added"]
        return {
            "main": data["main"],
            "added": data["added"],
            "is_on": data["is_on"],
            "most_added_permille": None if limit is None else int(limit * 10),
        }


class PolymerFilter(django_filters.FilterSet):
    """How polymers are searched, filtered and sorted."""

    q = search_filter(_("Symbol, trade name or name"))
    worked = choice_filter(
        _("Worked here"), [("yes", _("yes")), ("no", _("no, refused"))], method="worked_here"
    )
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields={"symbol": "symbol", "density_typical": "density"},
        choices=[("symbol", _("symbol")), ("density", _("density"))],
        empty_label=_("symbol"),
    )

    class Meta:
        model = Polymer
        fields = []

    def search(self, polymers, name, text):
        spelt = Q(spellings__text__contains=spelling_key(text))
        named = Q(symbol__icontains=text) | Q(name__icontains=text)
        return polymers.filter(named | spelt).distinct()

    def worked_here(self, polymers, name, answer):
        return polymers.filter(is_rejected=answer == "no")
