"""How lists are narrowed and sorted; a parameter that does not exist is refused, not passed over."""

import django_filters
from django import forms
from django.core.exceptions import ValidationError as FormError
from django.utils.translation import gettext_lazy as _
from django_filters.fields import IsoDateTimeField
from rest_framework.exceptions import ValidationError
from rest_framework.filters import BaseFilterBackend, OrderingFilter, SearchFilter

SENTENCE = _("There is no such filter or order here.")
YEARS = range(1900, 2200)
MOST_WORDS = 10


class KnownParameters(BaseFilterBackend):
    """Refuses a parameter that nothing reads: a misspelt filter must not answer everything."""

    def filter_queryset(self, request, queryset, view):
        known = {"page", "page_size", "format"} | set(view.filterset_class.base_filters)
        known |= {"search"} if view.search_fields else set()
        known |= {"ordering"} if view.ordering_fields else set()
        unknown = request.query_params.keys() - known
        if unknown:
            raise ValidationError({name: [SENTENCE] for name in sorted(unknown)})
        return queryset


class KnownOrdering(OrderingFilter):
    """Refuses an order that is not offered; pages break its ties by the primary key."""

    def get_ordering(self, request, queryset, view):
        asked = request.query_params.get(self.ordering_param, "")
        names = [name.strip() for name in asked.split(",") if name.strip()]
        if any(name.removeprefix("-") not in view.ordering_fields for name in names):
            raise ValidationError({self.ordering_param: [SENTENCE]})
        return [*dict.fromkeys(names)] or None


class Search(SearchFilter):
    """Looks for some words in the view's search fields."""

    def get_search_terms(self, request):
        terms = super().get_search_terms(request)
        if len(terms) > MOST_WORDS:
            sentence = _("Look for at most %(most)s words.") % {"most": MOST_WORDS}
            raise ValidationError({self.search_param: [sentence]})
        return terms


class MomentFormField(IsoDateTimeField):
    """A time within a sane range of years."""

    def clean(self, value):
        moment = super().clean(value)
        if moment is not None and moment.year not in YEARS:
            raise FormError(_("Enter a time between 1900 and 2200."), code="invalid")
        return moment


class MomentFilter(django_filters.IsoDateTimeFilter):
    """Narrows by a time."""

    field_class = MomentFormField


class WordFilter(django_filters.CharFilter):
    """Narrows by a name, capitals apart."""

    def __init__(self, field_name, lookup_expr="iexact", **options):
        super().__init__(field_name=field_name, lookup_expr=lookup_expr, **options)


class YesNoFilter(django_filters.TypedChoiceFilter):
    """Narrows by true or false, and refuses other words."""

    field_class = forms.TypedChoiceField

    def __init__(self, **options):
        choices = [("true", "true"), ("false", "false")]
        super().__init__(choices=choices, coerce=lambda text: text == "true", **options)
