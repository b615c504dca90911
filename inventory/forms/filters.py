"""What the filters of the lists share: choosing by name, sorting, days as bounds of time."""

from datetime import datetime, time

import django_filters
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.forms.periods import DayField
from inventory.models import Colour, Form, Polymer

ANY = _("any")


def search_filter(label) -> django_filters.CharFilter:
    """Return the search box of a list; its set says in `search` what it looks through."""
    return django_filters.CharFilter(label=label, method="search", max_length=200)


def sort_filter(fields: dict, choices: list) -> django_filters.OrderingFilter:
    """Return the choice of an order; `fields` maps columns to the names in the address."""
    return django_filters.OrderingFilter(
        label=_("Sort by"), fields=fields, choices=choices, empty_label=_("newest first")
    )


def polymer_filter(**options) -> django_filters.ModelChoiceFilter:
    """Return a choice among polymers by symbol."""
    return named_filter(_("Polymer"), Polymer, "symbol", options)


def colour_filter(**options) -> django_filters.ModelChoiceFilter:
    """Return a choice among colours by name."""
    return named_filter(_("Colour"), Colour, "name", options)


def named_filter(label, model, name: str, options: dict) -> django_filters.ModelChoiceFilter:
    """Return a choice among rows of a model by a name that can stand in an address."""
    return django_filters.ModelChoiceFilter(
        label=label,
        queryset=model.objects.all(),
        to_field_name=name,
        empty_label=ANY,
        **options,
    )


def choice_filter(label, choices, **options) -> django_filters.ChoiceFilter:
    """Return a choice among fixed words."""
    options.setdefault("empty_label", ANY)
    return django_filters.ChoiceFilter(label=label, choices=choices, **options)


def form_filter(**options) -> django_filters.ChoiceFilter:
    """Return a choice among the forms of plastic."""
    return choice_filter(_("Form"), Form.choices, **options)


class DayFilter(django_filters.DateFilter):
    """Narrows by a day of a year that a book can have."""

    field_class = DayField


def day_filter(label, **options) -> DayFilter:
    """Return a day to choose."""
    return DayFilter(label=label, **options)


def start_of(day) -> datetime:
    """Return the moment a day begins in the workshop's time zone."""
    return timezone.make_aware(datetime.combine(day, time.min))
