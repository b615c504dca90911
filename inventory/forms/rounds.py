"""Rounds: what is asked before one starts, when a bin is skipped, and at the end."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.actions.rounds import RoundPlan
from inventory.forms.bins import places
from inventory.forms.fields import ActForm, BinField

AGES = {
    "0": _("all of them"),
    "7": _("not counted for a week"),
    "30": _("not counted for a month"),
    "90": _("not counted for a quarter of a year"),
}
SKIP_REASONS = {
    "busy": _("in use just now"),
    "reach": _("cannot be reached"),
    "heavy": _("too heavy for the scale"),
    "held": _("on hold"),
    "missing": _("not found"),
}


class RoundForm(ActForm):
    """Which bins a round goes to."""

    place = forms.ChoiceField(label=_("Where"), required=False, widget=forms.RadioSelect)
    days = forms.ChoiceField(
        label=_("Which bins"), choices=list(AGES.items()), initial="0", widget=forms.RadioSelect
    )
    note = forms.CharField(
        label=_("Note"), max_length=120, required=False, help_text=_("Such as: end of the year.")
    )

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        self.fields["place"].choices = [("", _("everywhere")), *places()]

    def plan(self) -> RoundPlan:
        """Return what the valid form asks for."""
        data = self.cleaned_data
        return RoundPlan(place=data["place"], days=int(data["days"]), note=data["note"])


class SkipForm(ActForm):
    """Why a bin is passed over: one tap, or some words."""

    cause = forms.ChoiceField(choices=list(SKIP_REASONS.items()), required=False)
    reason = forms.CharField(label=_("Another reason"), max_length=200, required=False)

    def act(self, by):
        """Return the act; the words count when some were written."""
        cause = SKIP_REASONS.get(self.cleaned_data["cause"], "")
        self.cleaned_data["reason"] = self.cleaned_data["reason"] or str(cause)
        return super().act(by)


class FinishForm(ActForm):
    """Why what is still to do is left out."""

    reason = forms.CharField(label=_("Why the rest is left out"), max_length=300, required=False)


class GoToForm(forms.Form):
    """A bin that was scanned, or typed where codes are scanned."""

    bin = BinField()
