"""Forms of parts: handing over, taking back, and searching the list."""

import django_filters
from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.calculations.codes import group_code
from inventory.forms.confirmations import ConfirmedMixin
from inventory.forms.fields import ActForm
from inventory.forms.filters import (
    choice_filter,
    colour_filter,
    day_filter,
    named_filter,
    polymer_filter,
    search_filter,
    sort_filter,
)
from inventory.queries.codes import own_code
from inventory.queries.lots import run_reference
from products.models import Design, Part
from products.queries.parts import PartState
from products.queries.spoken_sheets import Claim


class HandOverForm(ConfirmedMixin, ActForm):
    """A part goes into use; it is asked back when open runs (`claims`) are to cut it."""

    to = forms.CharField(
        label=_("To whom or where"),
        max_length=120,
        required=False,
        help_text=_("A word that finds it again; no private addresses."),
    )

    def __init__(self, *args, part: Part, claims: list[Claim], **options):
        self.part, self.claims = part, claims
        super().__init__(*args, **options)

    def figure(self) -> dict:
        """Return what a confirmation is about: this part, and who is to cut it."""
        return {"part": self.part.code, "runs": [claim.label for claim in self.claims]}

    def figure_text(self) -> str:
        """Return what is asked back: the code of the part."""
        return group_code(self.part.code)


class TakeBackForm(ActForm):
    """A part comes back."""

    state = forms.CharField(
        label=_("Its state"), max_length=200, required=False, help_text=_("Such as: worn, cracked.")
    )


class PartFilter(django_filters.FilterSet):
    """Search, filter and sort the list of parts."""

    q = search_filter(_("Code, design or run"))
    state = choice_filter(_("State"), PartState.choices)
    design = named_filter(_("Design"), Design, "pk", {})
    polymer = polymer_filter(field_name="lot__polymer")
    colour = colour_filter(field_name="lot__colour")
    made_from = day_filter(_("Made from"), field_name="made_at", lookup_expr="date__gte")
    made_to = day_filter(_("Made up to"), field_name="made_at", lookup_expr="date__lte")
    sort = sort_filter(
        {"made_at": "made", "design__name": "design", "lot__in_mg": "mass"},
        [
            ("made", _("oldest first")),
            ("design", _("design")),
            ("-mass", _("heaviest first")),
            ("mass", _("lightest first")),
        ],
    )

    class Meta:
        model = Part
        fields = []

    def search(self, parts, name, text):
        """Keep parts whose code begins so, or whose design or run is called so."""
        typed = "".join(text.split()).replace("-", "").upper()
        code = own_code(text) or typed
        named = Q(design__name__icontains=text) | Q(made_in__reference=run_reference(text))
        return parts.filter(named | Q(code__startswith=code))
