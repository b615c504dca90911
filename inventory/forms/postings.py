"""Postings: how the ledger is searched."""

from datetime import timedelta

import django_filters
from django.contrib.auth.models import User
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.calculations.codes import joined_codes, normalise_code
from inventory.forms.filters import (
    choice_filter,
    day_filter,
    search_filter,
    sort_filter,
    start_of,
)
from inventory.models import Lot, Posting, Transfer
from inventory.queries.bins import bin_named
from inventory.queries.codes import own_code
from inventory.queries.postings import posting_numbered


class PostingFilter(django_filters.FilterSet):
    """How postings are searched, filtered and sorted."""

    q = search_filter(_("Number, reference or reason"))
    of = django_filters.CharFilter(
        label=_("Bin, or code of a lot"), method="touching", max_length=200
    )
    kind = choice_filter(_("Kind"), Posting.Kind.choices)
    by = django_filters.ModelChoiceFilter(
        label=_("Person"),
        queryset=User.objects.order_by("username"),
        to_field_name="username",
        empty_label=_("any"),
    )
    since = day_filter(_("From"), method="from_day")
    until = day_filter(_("To"), method="to_day")
    reference = django_filters.CharFilter(
        label=_("Reference"), lookup_expr="icontains", max_length=60
    )
    sort = sort_filter(
        {"pk": "recorded", "happened_at": "happened"},
        [
            ("recorded", _("first written first")),
            ("-happened", _("last happened first")),
            ("happened", _("first happened first")),
        ],
    )

    class Meta:
        model = Posting
        fields = []

    def search(self, postings, name, text):
        if found := posting_numbered(text):
            return postings.filter(pk=found.pk)
        # A whole reference is looked up in its index; only a part of one is searched for.
        if Posting.objects.filter(reference=text).exists():
            return postings.filter(reference=text)
        coded = normalise_code(text) or joined_codes(text)
        named = Q(reference__icontains=text) | Q(reference__icontains=coded)
        return postings.filter(named | Q(reason__icontains=text))

    def touching(self, postings, name, text):
        if bin := bin_named(text):
            lots = bin.lots.values("pk")
        else:
            lots = Lot.objects.filter(code=own_code(text) or "").order_by().values("pk")
        ends = Transfer.objects.filter(Q(source__in=lots) | Q(target__in=lots))
        return postings.filter(pk__in=ends.order_by().values("posting"))

    def from_day(self, postings, name, day):
        return postings.filter(happened_at__gte=start_of(day))

    def to_day(self, postings, name, day):
        return postings.filter(happened_at__lt=start_of(day + timedelta(days=1)))
