"""The form that chooses what a document in an open format tells of."""

from datetime import date, datetime, time, timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import TextChoices
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.forms.periods import DayField
from inventory.queries.exports import BACK, FORWARD, Scope
from workshop.queries.exports import Kind, is_empty, scope_called, scope_of_time

DAY = timedelta(days=1)
LONGEST = 200


class Direction(TextChoices):
    """Which way a trace goes."""

    BACK = BACK, gettext_lazy("where it came from")
    FORWARD = FORWARD, gettext_lazy("where it went")


class ScopeForm(forms.Form):
    """A code with a direction, or the days of a time; cleaned to a scope."""

    code = forms.CharField(
        label=gettext_lazy("What to tell of"),
        required=False,
        max_length=LONGEST,
        help_text=gettext_lazy(
            "A code, a run such as R-0042, a delivery such as D-0042, or a bin. Or name days below."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    direction = forms.ChoiceField(
        label=gettext_lazy("Which way"), choices=Direction, required=False, widget=forms.RadioSelect
    )
    since = DayField(label=gettext_lazy("From the day"))
    until = DayField(label=gettext_lazy("Up to and with the day"))

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        data["scope"] = self.found(data)
        return data

    def found(self, data: dict) -> Scope:
        """Return the scope that was asked for, or say what is missing."""
        code, since, until = data["code"].strip(), data["since"], data["until"]
        if bool(code) == bool(since or until):
            sentence = _("Name one thing, or the days of a time, and not both.")
            raise ValidationError(sentence, code="scope")
        if not code:
            return scope_of_days(since, until)
        if scope := scope_called(code, data["direction"] or BACK):
            return scope
        sentence = _("Nothing to tell of is called %(text)s; check the code.")
        self.add_error("code", ValidationError(sentence, code="not-found", params={"text": code}))
        return None


class ExportForm(ScopeForm):
    """A scope and the format that tells of it; a time in which nothing happened is no file for a person."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Format"), choices=Kind, widget=forms.RadioSelect, initial=Kind.EPCIS
    )

    def found(self, data: dict) -> Scope:
        scope = super().found(data)
        if scope and is_empty(scope):
            sentence = _("Nothing happened in the workshop on these days; name others.")
            raise ValidationError(sentence, code="nothing")
        return scope


def scope_of_days(since: date | None, until: date | None) -> Scope:
    """Return the scope of some days; refuses `days` where one is missing or they stand the wrong way."""
    if since is None or until is None or since > until:
        raise ValidationError(_("Name a first day and a last one that is no earlier."), code="days")
    return scope_of_time(start_of(since), start_of(until + DAY))


def start_of(day: date) -> datetime:
    """Return the moment at which a day begins in the workshop."""
    return timezone.make_aware(datetime.combine(day, time.min))
