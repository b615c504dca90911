"""Counting a bin: what the scale shows, and what was seen and accepted; how counts are searched."""

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.actions.counts import Accepted
from inventory.forms.fields import ActForm, ShownField
from inventory.forms.filters import choice_filter, search_filter, sort_filter
from inventory.models import Bin, Count, Reading, Scale
from inventory.queries.counts import Weighing

MOST_MG = 10**18  # what the database's whole numbers hold
CAUSES = {
    "less": {
        "spilt": _("spilt or swept away"),
        "taken": _("taken without being booked"),
        "wrong": _("weighed or typed wrongly before"),
    },
    "more": {
        "left": _("more was left than a run had booked"),
        "put": _("put in without being booked"),
        "wrong": _("weighed or typed wrongly before"),
    },
}
EVERY_CAUSE = {code: words for causes in CAUSES.values() for code, words in causes.items()}


class ReadingForm(forms.Form):
    """What the scale shows of one bin, to be held against the book."""

    shown = ShownField(label=_("The scale shows"))
    weighing = forms.ChoiceField(label=_("What stood on it"), widget=forms.RadioSelect)
    scale = forms.ModelChoiceField(
        label=_("Scale"),
        queryset=Scale.objects.filter(is_in_use=True),
        required=False,
        empty_label=_("typed, no scale"),
    )

    def __init__(self, *args, bin: Bin, **options):
        super().__init__(*args, **options)
        self.fields["weighing"].choices = [
            ("gross", _("the bin: its tare comes off")),
            ("net", _("only what is in it, or the scale was tared")),
        ]
        self.fields["weighing"].initial = "gross" if bin.tare_mg else "net"

    def reading(self) -> Reading | None:
        """Return what the scale shows, or None when the form does not say it."""
        data = self.cleaned_data if self.is_bound and self.errors is not None else {}
        if not {"shown", "weighing", "scale"} <= data.keys():
            return None
        tare_mg = 0 if data["weighing"] == "net" else None
        return Reading(data["shown"], data["scale"], tare_mg)


class CountForm(ReadingForm, ActForm):
    """A reading that somebody accepts, with what the page showed of the book.

    The hidden figures are those that stood on the page, so that a changed book is noticed.
    """

    cause = forms.ChoiceField(
        label=_("Why"), choices=list(EVERY_CAUSE.items()), required=False, widget=forms.RadioSelect
    )
    reason = forms.CharField(label=_("Why, in other words"), max_length=200, required=False)
    is_last = forms.BooleanField(required=False)
    lot = forms.CharField(required=False, max_length=12)
    book_mg = forms.IntegerField(max_value=MOST_MG)
    net_mg = forms.IntegerField(max_value=MOST_MG)
    is_confirmed = forms.BooleanField(required=False)

    def accepts(self, weighing: Weighing) -> bool:
        """Whether the net mass on the page is what the reading makes now; says so when it is not."""
        if self.cleaned_data["net_mg"] == weighing.net.mg:
            return True
        sentence = _("The bin's tare was changed meanwhile; look at the figures again.")
        self.add_error(None, ValidationError(sentence, code="tare-changed"))
        return False

    def accepted(self) -> Accepted:
        """Return what was seen and accepted."""
        data = self.cleaned_data
        return Accepted(data["lot"], data["book_mg"], data["is_confirmed"], data["is_last"])

    def act(self, by):
        """Return the act; its reason is what was tapped, and what was written."""
        words = [EVERY_CAUSE.get(self.cleaned_data["cause"]), self.cleaned_data["reason"]]
        self.cleaned_data["reason"] = ": ".join(str(word) for word in words if word)
        return super().act(by)

    def ask_why(self, weighing: Weighing) -> None:
        """Offer the usual reasons for a difference of this sign."""
        causes = CAUSES.get(weighing.comparison.verdict, {})
        self.fields["cause"].choices = list(causes.items())


class CountFilter(django_filters.FilterSet):
    """How counts are searched, filtered and sorted."""

    q = search_filter(_("Bin, place or reason"))
    state = choice_filter(
        _("Outcome"),
        [("agreed", _("agreed")), ("corrected", _("corrected")), ("reversed", _("reversed"))],
        method="with_outcome",
    )
    sort = sort_filter(
        {"pk": "counted", "bin__name": "bin"}, [("counted", _("oldest first")), ("bin", _("bin"))]
    )

    class Meta:
        model = Count
        fields = []

    def search(self, counts, name, text):
        words = Q(bin__name__icontains=text) | Q(bin__place__icontains=text)
        return counts.filter(words | Q(reason__icontains=text) | Q(bin__code=text.upper()))

    def with_outcome(self, counts, name, state):
        is_reversed = Q(posting__reversed_by__isnull=False)
        return {
            "agreed": counts.filter(posting=None),
            "corrected": counts.standing().exclude(posting=None),
            "reversed": counts.filter(is_reversed),
        }[state]
