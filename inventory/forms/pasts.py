"""A past moment: what the book knew then, or what there was in the workshop."""

from datetime import datetime, time

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.calculations.periods import FIRST_YEAR, LAST_YEAR
from inventory.queries.pasts import Past

MOMENT = "%Y-%m-%dT%H:%M"
END_OF_DAY = time(23, 59, 59, 999_999, fold=1)  # the later one, where clocks go back at midnight


class MomentField(forms.DateTimeField):
    """A moment of a year that a book can have, or a day, which means its end.

    The minute that was typed counts whole.
    """

    def __init__(self, **options):
        widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT)
        super().__init__(required=False, widget=widget, **options)

    def to_python(self, value):
        moment = self.moment_of(value)
        if moment is not None and not FIRST_YEAR <= moment.year <= LAST_YEAR:
            raise forms.ValidationError(_("Enter a day between 1900 and 2199."), code="invalid")
        return moment

    def moment_of(self, value) -> datetime | None:
        """Return the moment that was typed, of whatever year."""
        try:
            day = datetime.strptime(str(value).strip(), "%Y-%m-%d").date()  # noqa: DTZ007 (made aware below)
        except ValueError:
            moment = super().to_python(value)
            is_to_the_minute = moment and len(str(value).strip()) == len("2026-03-03T10:00")
            return moment.replace(second=59, microsecond=999_999) if is_to_the_minute else moment
        return timezone.make_aware(datetime.combine(day, END_OF_DAY))


class PastForm(forms.Form):
    """Which moment a trace goes by; nothing chosen is now."""

    happened_at = MomentField(
        label=_("As it was on"), help_text=_("What had happened in the workshop by then.")
    )
    known_at = MomentField(
        label=_("As known on"), help_text=_("What the book said then, before later corrections.")
    )

    def past(self) -> Past:
        """Return the moment that was chosen; what is no moment counts as none."""
        chosen = self.cleaned_data if self.is_valid() else {}
        return Past(known_at=chosen.get("known_at"), happened_at=chosen.get("happened_at"))
