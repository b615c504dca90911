"""Audit files: what is asked about."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from inventory.forms.periods import DayField
from workshop.models import AuditFile
from workshop.queries.audit_questions import Question, subject_called

Kind = AuditFile.Kind


class AuditForm(ActForm):
    """A code, number or name, and the days that count; with days alone, all that happened on them."""

    refused_at = {"days": "since", "nothing": "about", "too-large": "since"}

    about = forms.CharField(
        label=_("What to ask about"),
        required=False,
        max_length=200,
        help_text=_(
            "Scan or type a part, a bin, a lot, a delivery or a run; or type the name of a design or "
            "a source. Leave it empty to ask about a period."
        ),
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "spellcheck": "false",
                "data-scan-into": "part bin lot delivery run",
            }
        ),
    )
    kind = forms.ChoiceField(
        choices=[("", ""), *Kind.choices], required=False, widget=forms.HiddenInput
    )
    since = DayField(label=_("From"), help_text=_("For a period, a design or a source."))
    until = DayField(label=_("Until"))
    reason = forms.CharField(
        label=_("For whom or why"),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    happened_at = None

    def clean(self):
        data = super().clean()
        text = (data.get("about") or "").strip()
        named = subject_called(text, data.get("kind", "")) if text else (Kind.PERIOD, "")
        if "about" not in self.errors and named is None:
            sentence = _(
                "Nothing here is called %(text)s: check the code, or the bin may be empty."
            )
            error = ValidationError(sentence, code="not-found", params={"text": text})
            self.add_error("about", error)
        data["question"] = named and Question(*named, data.get("since"), data.get("until"))
        return data
