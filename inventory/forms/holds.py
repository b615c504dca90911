"""Holds: how their list is searched."""

import django_filters
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.forms.filters import choice_filter, polymer_filter, search_filter, sort_filter
from inventory.models import Hold
from inventory.queries.codes import own_code


class HoldFilter(django_filters.FilterSet):
    """How holds are searched, filtered and sorted; by default those not lifted yet."""

    q = search_filter(_("Reason, bin or code"))
    state = choice_filter(
        _("State"),
        [("lifted", _("lifted")), ("all", _("all"))],
        empty_label=_("on hold"),
        method="in_state",
    )
    polymer = polymer_filter(field_name="lot__polymer")
    sort = sort_filter({"placed_at": "placed"}, [("placed", _("oldest first"))])

    class Meta:
        model = Hold
        fields = []

    def filter_queryset(self, queryset):
        if not self.form.cleaned_data.get("state"):
            queryset = queryset.open()
        return super().filter_queryset(queryset)

    def search(self, holds, name, text):
        code = own_code(text) or ""
        reasons = Q(reason__icontains=text) | Q(lift_reason__icontains=text)
        return holds.filter(reasons | Q(lot__bin__name__icontains=text) | Q(lot__code=code))

    def in_state(self, holds, name, state):
        return holds.filter(lifted_at__isnull=False) if state == "lifted" else holds
