"""Of which days a report tells: a month, a year, or from a day to a day."""

import re
from datetime import date

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.calculations.periods import (
    FIRST_YEAR,
    LAST_YEAR,
    MOST_YEARS,
    Period,
    month_of,
    twelve_months_to,
    year_of,
)
from inventory.models import Colour, Polymer

MONTH = re.compile(r"([0-9]{4})-(0[1-9]|1[0-2])")
DAY = date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)
UNKNOWN = "?"  # the polymer of what nobody has identified


class MonthField(forms.CharField):
    """A month, written 2026-03; becomes its first day."""

    def __init__(self, **options):
        attrs = {"type": "month", "placeholder": "2026-03", "maxlength": "7"}
        super().__init__(widget=forms.TextInput(attrs=attrs), **options)

    def to_python(self, value):
        text = super().to_python(value)
        if not text:
            return None
        found = MONTH.fullmatch(text)
        if not found or not FIRST_YEAR <= int(found[1]) <= LAST_YEAR:
            raise forms.ValidationError(_("Write a month as 2026-03."), code="invalid")
        return date(int(found[1]), int(found[2]), 1)


class DayField(forms.DateField):
    """A day of a year that a book can have."""

    def __init__(self, **options):
        widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        super().__init__(**{"required": False, "widget": widget} | options)

    def to_python(self, value):
        day = super().to_python(value)
        if day is not None and not DAY[0] <= day <= DAY[1]:
            raise forms.ValidationError(_("Enter a day between 1900 and 2199."), code="invalid")
        return day


class PeriodForm(forms.Form):
    """Which days; with nothing chosen this month and the eleven before it."""

    month = MonthField(required=False, label=_("A month"))
    year = forms.IntegerField(
        required=False, label=_("Or a year"), min_value=FIRST_YEAR, max_value=LAST_YEAR
    )
    start = DayField(label=_("Or from"))
    end = DayField(label=_("to, with that day"))

    def clean(self):
        sent = self.cleaned_data
        ways = [sent.get("month"), sent.get("year"), sent.get("start") or sent.get("end")]
        if sum(1 for way in ways if way) > 1:
            raise forms.ValidationError(
                _("Choose one of them: a month, a year, or from a day to a day."),
                code="two-periods",
            )
        if ways[2] and not self.errors:
            self.clean_days(sent.get("start"), sent.get("end"))
        return sent

    def clean_days(self, start: date | None, end: date | None) -> None:
        """Refuse half a stretch of days, one that ends before it begins, and more than a report takes."""
        if not (start and end):
            raise forms.ValidationError(_("Choose both days, from and to."), code="half-period")
        if end < start:
            raise forms.ValidationError(
                _("It ends before it begins; choose a later last day."), code="backwards"
            )
        if end.year - start.year >= MOST_YEARS:
            raise forms.ValidationError(
                _("Choose at most %(most)s years.") % {"most": MOST_YEARS}, code="too-long"
            )

    def period(self) -> Period:
        """Return the period of a valid form."""
        sent = self.cleaned_data
        if sent.get("month"):
            return month_of(sent["month"])
        if sent.get("year"):
            return year_of(date(sent["year"], 1, 1))
        if sent.get("start"):
            return Period(sent["start"], date.fromordinal(sent["end"].toordinal() + 1))
        return twelve_months_to(timezone.localdate())


class MaterialPeriodForm(PeriodForm):
    """Which days, and one material or all."""

    polymer = forms.ChoiceField(required=False, label=_("Polymer"))
    colour = forms.ModelChoiceField(
        queryset=Colour.objects.all(),
        required=False,
        to_field_name="name",
        label=_("Colour"),
        empty_label=_("any"),
    )

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        symbols = list(Polymer.objects.values_list("symbol", flat=True))
        self.fields["polymer"].choices = [
            ("", _("any")),
            *((symbol, symbol) for symbol in symbols),
            (UNKNOWN, _("unknown")),
        ]

    def clean(self):
        sent = super().clean()
        if bool(sent.get("polymer")) != bool(sent.get("colour")) and not self.errors:
            raise forms.ValidationError(
                _("Choose both a polymer and a colour, or neither."), code="half-material"
            )
        return sent

    def material(self) -> tuple | None:
        """Return the keys of the polymer and colour that were chosen, or None for all."""
        symbol, colour = (self.cleaned_data.get(name) for name in ("polymer", "colour"))
        if not symbol:
            return None
        polymer = None if symbol == UNKNOWN else Polymer.objects.get(symbol=symbol).pk
        return polymer, colour.pk
