"""Deliveries: what is asked at the gate, and how their list is searched."""

import django_filters
from django import forms
from django.db.models import Q
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from inventory.actions.deliveries import Receipt
from inventory.forms.confirmations import ConfirmedMixin
from inventory.forms.fields import (
    ActForm,
    BinField,
    ColourField,
    MassField,
    NumberField,
    PolymerField,
    ShownField,
    SpellingMixin,
)
from inventory.forms.filters import (
    choice_filter,
    colour_filter,
    day_filter,
    named_filter,
    polymer_filter,
    search_filter,
    sort_filter,
)
from inventory.forms.photos import PhotoField
from inventory.models import (
    Condition,
    Delivery,
    Form,
    Identification,
    Lot,
    OriginClass,
    Scale,
    Source,
)
from inventory.queries.bins import BinOffers, bin_offers
from inventory.queries.codes import own_code
from inventory.queries.deliveries import delivery_numbered
from inventory.queries.masses import in_units
from inventory.templatetags.quantities import mass as written

EXPLAINED = {
    OriginClass.POST_CONSUMER: _("used up by people, households or firms, and thrown out by them"),
    OriginClass.PRE_CONSUMER: _("waste of somebody else's production that never reached a user"),
    OriginClass.VIRGIN: _("new material, never used before"),
    OriginClass.UNKNOWN: _("nobody can say; counts as nothing in a claim"),
    OriginClass.ADDITIVE: _("colourant, stabiliser or filler to be put in"),
}
# The refusals that are about the bin into which it was to go.
AT_BIN = (
    "overfull",
    "retired",
    "on-hold",
    "spoken-for",
    "unknown-material",
    "polymer-mismatch",
    "colour-mismatch",
)


def origin_choices():
    """Return the origin classes, each with a plain explanation."""
    label = '<span><strong>{}</strong><br><span class="soft">{}</span></span>'
    return [(each.value, format_html(label, each.label, EXPLAINED[each])) for each in OriginClass]


class PriceField(NumberField):
    """What a kilogram cost; empty when nobody knows."""

    def __init__(self, **options):
        fixed = {"label": _("Price per kg"), "required": False, "min_value": 0}
        super().__init__(**fixed | {"max_digits": 14, "decimal_places": 4} | options)


class PriceForm(ActForm):
    """What a kilogram of a delivery cost, and where that comes from."""

    happened_at = None
    per_kg = PriceField(help_text=_("Empty: nobody knows. 0 when it came for nothing."))
    reason = forms.CharField(label=_("Where it comes from"), max_length=300, required=False)
    refused_at = {"absurd": "per_kg", "no-currency": "per_kg"}  # noqa: RUF012


class DeliveryForm(ConfirmedMixin, SpellingMixin, ActForm):
    """One receipt: who, how much, what it is and how that is known."""

    source = forms.ModelChoiceField(
        label=_("From"), queryset=Source.objects.filter(is_active=True), empty_label=_("choose")
    )
    delivered_on = forms.DateField(
        label=_("Day"),
        initial=timezone.localdate,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    net = MassField(
        label=_("Net"), required=False, help_text=in_units(_("%(unit)s; or gross and tare"))
    )
    gross = MassField(
        label=_("Gross"), required=False, help_text=in_units(_("%(unit)s with its container"))
    )
    tare = ShownField(
        label=_("Tare"),
        required=False,
        help_text=in_units(_("%(unit)s, the empty container; 0 when the scale was tared")),
    )
    scale = forms.ModelChoiceField(
        label=_("Scale"),
        queryset=Scale.objects.filter(is_in_use=True),
        required=False,
        empty_label=_("typed, no scale"),
    )
    polymer = PolymerField(
        label=_("Polymer"),
        required=False,
        help_text=_(
            "As on its mark, such as PE-HD; trade spellings are corrected. Empty: unknown."
        ),
    )
    identified_by = forms.ChoiceField(
        label=_("How it was told"), choices=Identification.choices, widget=forms.RadioSelect
    )
    colour = ColourField(label=_("Colour"))
    form = forms.ChoiceField(label=_("Form"), choices=Form.choices, widget=forms.RadioSelect)
    origin_class = forms.ChoiceField(
        label=_("Where it counts as coming from"), choices=origin_choices, widget=forms.RadioSelect
    )
    former_use = forms.CharField(
        label=_("What it was before"),
        max_length=200,
        required=False,
        help_text=_("For example: bottle caps, crates, sprues."),
    )
    condition = forms.ChoiceField(
        label=_("Condition"), choices=Condition.choices, widget=forms.RadioSelect
    )
    per_kg = PriceField(help_text=_("Empty: not known yet. 0 when it came for nothing."))
    supplier_lot = forms.CharField(label=_("Their lot number"), max_length=60, required=False)
    tests = forms.CharField(label=_("Tests done"), max_length=300, required=False)
    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    photo = PhotoField(
        label=_("Photo"), required=False, help_text=_("JPEG, PNG or WebP, at most 10 MB.")
    )
    bin = BinField(
        label=_("Straight into bin"),
        required=False,
        help_text=_("Type its name or scan its code. Empty: it stays on the floor."),
    )
    reason = forms.CharField(
        label=_("Why refused"),
        required=False,
        max_length=300,
        help_text=_("Only for “Refuse”."),
    )

    refused_at = {"absurd": "per_kg", "no-currency": "per_kg"} | dict.fromkeys(AT_BIN, "bin")

    def clean(self):
        data = super().clean()
        if not {"net", "gross", "tare"} & self.errors.keys():
            data["net"] = self.net_mg(data["net"], data["gross"], data["tare"])
        if self.errors:
            self.ask_for_photo_again()
        return data

    def net_mg(self, net_mg: int | None, gross_mg: int | None, tare_mg: int | None) -> int | None:
        """Return the net mass that was typed, or what gross and tare give; asks for what is missing."""
        if (gross_mg is None) != (tare_mg is None):
            missing = "gross" if gross_mg is None else "tare"
            self.add_error(missing, _("Enter gross and tare together."))
        elif net_mg is None and gross_mg is None:
            self.add_error("net", _("Enter the net mass, or gross and tare."))
        elif net_mg is None:
            return gross_mg - tare_mg
        return net_mg

    def ask_for_photo_again(self):
        """Say that a photo is not kept while the form is refused: browsers cannot send it back."""
        if self.cleaned_data.get("photo"):
            self.add_error("photo", _("The photo was fine, but is not kept yet; choose it again."))

    def offers(self) -> BinOffers:
        """Return the bins in use, those first that would take what is described, once it is."""
        data = self.cleaned_data if self.is_bound and self.errors is not None else {}
        material = {name: data[name] for name in ("polymer", "colour", "form") if name in data}
        is_known = len(material) == 3  # noqa: PLR2004 (all of them)
        return bin_offers(Lot(**material) if is_known else None, data.get("net") or 0)

    def figure(self) -> dict:
        """Return what a confirmation is about: so much of this source."""
        data = self.cleaned_data
        return {"source": str(data["source"]), "net_mg": data["net"]}

    def figure_text(self) -> str:
        """Return the figure as it is asked back."""
        return written(self.cleaned_data["net"])

    def receipt(self) -> Receipt:
        """Return what the valid form says was read off the scale and the papers."""
        data = self.cleaned_data
        masses = {f"{name}_mg": data[name] for name in ("net", "gross", "tare")}
        names = Receipt.__dataclass_fields__.keys() - masses.keys()
        return Receipt(**masses, **{name: data[name] for name in names})


class DeliveryFilter(django_filters.FilterSet):
    """How deliveries are searched, filtered and sorted."""

    q = search_filter(_("Number, source, their lot or former use"))
    source = named_filter(_("From"), Source, "name", {})
    polymer = polymer_filter()
    colour = colour_filter()
    origin_class = choice_filter(_("Origin class"), OriginClass.choices)
    condition = choice_filter(_("Condition"), Condition.choices)
    state = choice_filter(
        _("State"),
        [
            ("accepted", _("accepted")),
            ("refused", _("refused")),
            ("floor", _("on the floor")),
            ("held", _("on hold")),
        ],
        method="in_state",
    )
    since = day_filter(_("Delivered from"), field_name="delivered_on", lookup_expr="gte")
    until = day_filter(_("Delivered to"), field_name="delivered_on", lookup_expr="lte")
    sort = sort_filter(
        {"delivered_on": "day", "net_mg": "net", "source__name": "source"},
        [
            ("-day", _("last day first")),
            ("day", _("first day first")),
            ("-net", _("heaviest first")),
            ("source", _("source")),
        ],
    )

    class Meta:
        model = Delivery
        fields = []

    def search(self, deliveries, name, text):
        if found := delivery_numbered(text):
            return deliveries.filter(pk=found.pk)
        named = Q(source__name__icontains=text) | Q(supplier_lot__icontains=text)
        code = own_code(text) or ""
        return deliveries.filter(named | Q(former_use__icontains=text) | Q(code=code))

    def in_state(self, deliveries, name, state):
        return deliveries.filter(
            {
                "accepted": Q(lot__isnull=False),
                "refused": Q(lot__isnull=True),
                "floor": Q(lot__bin=None, lot__out_mg=0, lot__in_mg__gt=0),
                "held": Q(is_held=True),
            }[state]
        )
