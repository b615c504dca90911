"""Lots: what is asked before one is moved, disposed or identified, and how their list is searched."""

import django_filters
from django import forms
from django.db.models import F, Q
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import (
    BinField,
    PolymerField,
    ReasonForm,
    SpellingMixin,
    WeighedForm,
)
from inventory.forms.filters import (
    choice_filter,
    colour_filter,
    form_filter,
    polymer_filter,
    search_filter,
    sort_filter,
)
from inventory.models import Bin, Delivery, Hold, Identification, Lot, OriginClass
from inventory.queries.bins import bin_named, fitting_bins
from inventory.queries.lots import lot_named
from inventory.templatetags.quantities import mass

FITS = {
    1: _("same polymer and colour"),
    2: _("for mixed colours"),
    3: _("empty, kept for this"),
    4: _("empty"),
}


class PartOfLotForm(WeighedForm):
    """A weighed mass of a lot, or all of it when nothing is entered."""

    refused_at = {"short": "mass"}  # noqa: RUF012

    def __init__(self, *args, lot: Lot, **options):
        super().__init__(*args, **options)
        self.lot = lot
        self.fields["mass"].required = False
        self.fields["mass"].help_text = gettext("Leave empty for all of it: %(mass)s.") % {
            "mass": mass(lot.held_mg)
        }

    def clean(self):
        data = super().clean()
        if data.get("tare") and data.get("mass") is None and not self.has_error("mass"):
            self.add_error(
                "mass", _("Enter the gross mass too, or leave both empty for all of it.")
            )
        return data


class MoveForm(PartOfLotForm):
    """How much of a lot goes into which bin."""

    bin = forms.ModelChoiceField(
        label=_("Into which bin"),
        queryset=Bin.objects.in_use(),
        to_field_name="code",
        widget=forms.RadioSelect,
        required=False,
        empty_label=None,
    )
    other = BinField(
        label=_("Another bin"),
        required=False,
        help_text=_("Type its name or scan its code; this wins over the choice above."),
    )

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        self.fits = fitting_bins(self.lot)
        self.fields["bin"].widget.choices = [(bin.code, bin_choice(bin)) for bin in self.fits]
        wanted = bin_named(self.initial.get("bin") or "")
        if wanted and wanted not in self.fits:
            self.initial["other"] = wanted.name

    def clean(self):
        data = super().clean()
        if not (data.get("other") or data.get("bin") or self.errors):
            self.add_error("other", _("Choose a bin above or type one here."))
        return data

    @property
    def target(self) -> Bin:
        """The bin that was typed, else the one that was chosen."""
        return self.cleaned_data["other"] or self.cleaned_data["bin"]


def bin_choice(bin: Bin):
    """Return the label of a bin that fits: its name, why it fits and its room."""
    room = gettext("room for %(mass)s") % {"mass": mass(bin.room_mg)}
    return format_html(
        '<span><strong>{}</strong><br><span class="soft">{} · {}</span></span>',
        bin.name,
        FITS[bin.fit],
        room,
    )


class DisposeForm(PartOfLotForm):
    """How much of a lot is thrown away, and why."""

    reason = forms.CharField(
        label=_("Why"), max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )


class IdentifyForm(SpellingMixin, ReasonForm):
    """What an unknown lot is, and how that was told."""

    polymer = PolymerField(
        label=_("Polymer"), help_text=_("As ISO 1043-1 writes it; trade spellings are corrected.")
    )
    identified_by = forms.ChoiceField(
        label=_("How it was told"),
        choices=[each for each in Identification.choices if each[0] != Identification.UNKNOWN],
        widget=forms.RadioSelect,
    )


class LotFilter(django_filters.FilterSet):
    """How lots are searched, filtered and sorted.

    Unless a state or a search asks for more, lots that hold something.
    """

    q = search_filter(_("Code, bin, delivery or source"))
    kind = choice_filter(_("Kind"), Lot.Kind.choices)
    polymer = polymer_filter()
    colour = colour_filter()
    form = form_filter()
    origin_class = choice_filter(_("Origin class"), OriginClass.choices)
    state = choice_filter(
        _("State"),
        [
            ("held", _("on hold")),
            ("unknown", _("unknown")),
            ("gone", _("empty")),
            ("all", _("all")),
        ],
        empty_label=_("holds something"),
        method="in_state",
    )
    sort = sort_filter(
        {"pk": "opened", "left_mg": "held", "polymer__symbol": "polymer"},
        [
            ("opened", _("oldest first")),
            ("-held", _("most first")),
            ("held", _("least first")),
            ("polymer", _("polymer")),
        ],
    )

    class Meta:
        model = Lot
        fields = []

    def filter_queryset(self, queryset):
        asked = self.form.cleaned_data
        if not (asked.get("state") or asked.get("q")):
            queryset = queryset.open()
        return super().filter_queryset(queryset)

    def search(self, lots, name, text):
        found = lot_named(text)
        bins = Bin.objects.filter(name__icontains=text)
        papers = Q(source__name__icontains=text) | Q(supplier_lot__icontains=text)
        delivered = Delivery.objects.filter(papers, lot__isnull=False)
        known = Q(pk=found.pk if found else 0) | Q(bin__in=bins)
        return lots.filter(known | Q(pk__in=delivered.order_by().values("lot")))

    def in_state(self, lots, name, state):
        return {
            "held": lots.open().filter(holds__in=Hold.objects.open()),
            "unknown": lots.open().filter(polymer=None),
            "gone": lots.filter(out_mg=F("in_mg")),
            "all": lots,
        }[state]
