"""Sources: what is asked of one, and how their list is searched."""

import django_filters
from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from inventory.forms.filters import choice_filter, search_filter
from inventory.models import Source


class SourceForm(ActForm):
    """Who plastic comes from."""

    happened_at = None
    name = forms.CharField(label=_("Name"), max_length=120)
    role = forms.ChoiceField(label=_("Role"), choices=Source.Role.choices, widget=forms.RadioSelect)
    collection_route = forms.CharField(
        label=_("How it is collected"),
        max_length=200,
        required=False,
        help_text=_("For example: drop-off box, school round, works skip."),
    )
    contact = forms.CharField(label=_("Contact"), max_length=200, required=False)
    evidence = forms.CharField(
        label=_("Papers"),
        max_length=200,
        required=False,
        help_text=_("What shows where it came from, and where that is kept."),
    )
    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    is_active = forms.BooleanField(label=_("Still delivers"), required=False, initial=True)

    def fields_to_save(self) -> dict:
        """Return what the valid form asks to be kept."""
        return {name: self.cleaned_data[name] for name in NAMES}

    @staticmethod
    def initial_of(source: Source) -> dict:
        """Return what the form shows for a source that exists."""
        return {name: getattr(source, name) for name in NAMES}


NAMES = ("name", "role", "collection_route", "contact", "evidence", "note", "is_active")


class SourceFilter(django_filters.FilterSet):
    """How sources are searched, filtered and sorted."""

    q = search_filter(_("Name, contact or route"))
    role = choice_filter(_("Role"), Source.Role.choices)
    active = choice_filter(
        _("Still delivers"), [("yes", _("yes")), ("no", _("no"))], method="still_delivering"
    )
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields={
            "name": "name",
            "received_mg": "received",
            "delivery_count": "deliveries",
            "last_on": "last",
        },
        choices=[
            ("name", _("name")),
            ("-received", _("most received first")),
            ("-deliveries", _("most deliveries first")),
            ("-last", _("last delivery first")),
        ],
        empty_label=_("name"),
    )

    class Meta:
        model = Source
        fields = []

    def search(self, sources, name, text):
        named = Q(name__icontains=text) | Q(contact__icontains=text)
        return sources.filter(named | Q(collection_route__icontains=text))

    def still_delivering(self, sources, name, answer):
        return sources.filter(is_active=answer == "yes")
