"""Labels: what is to be printed, on what and from where on; choosing by list, run or range."""

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from inventory.forms.bins import BinFilter
from inventory.forms.deliveries import DeliveryFilter
from inventory.forms.fields import ActForm, FigureField, ReasonForm
from inventory.forms.lots import LotFilter
from inventory.queries.bins import bins_with_mass
from inventory.queries.deliveries import delivery_list
from inventory.queries.lots import lot_list
from products.calculations.label_plans import LEAST_LABEL_MM
from products.calculations.ranges import RangeNote
from products.forms.parts import PartFilter
from products.models import LabelGrid
from products.queries.labels import (
    grid_used_last,
    printed_labels,
    printing_numbered,
    thing_on,
)
from products.queries.parts import part_list
from products.queries.sheets import DPI, HEIGHT_MM, WIDTH_MM
from products.queries.things import (
    BIN,
    DELIVERY,
    LOT,
    MOST_THINGS,
    PART,
    Thing,
    parts_of_run,
    thing_named,
    things_between,
)

LARGEST_MM = 300
FILTERS = {
    BIN: (BinFilter, lambda: bins_with_mass().order_by("name")),
    PART: (PartFilter, part_list),
    DELIVERY: (DeliveryFilter, delivery_list),
    LOT: (LotFilter, lot_list),
}
NOTES = {
    "module-size": _(
        "The squares of the code are %(value)s mm on this label, below %(low)s mm: "
        "some scanners will not read it. Take a larger label."
    ),
}
ROWS = {
    "mark": _("mark"),
    "title": _("name"),
    "colour": _("colour and mass"),
    "head": _("kind and place"),
    "strip": _("make-up strip"),
    "run": _("date and run"),
    "line": _("small lines"),
    "address": _("typed address"),
}


def filtered(kind: str, query: QueryDict):
    """Return the filter of a list of things of a kind, as the list itself would show it."""
    filters, rows = FILTERS[kind]
    return filters(query, queryset=rows())


def things_asked(query: QueryDict) -> list[Thing]:
    """Return the things that an address asks for.

    By codes (`bin=`, `lot=`, `delivery=`, `part=`), by run (`run=R-0042`), from one to another
    (`kind=bin&from=B-01&to=B-09`), all that a list shows (`pick=bin` and its filters), or what
    was printed together before and is not void (`printing=` and a UUID).
    """
    named = [thing_named(f"{kind}:{text}") for kind in FILTERS for text in query.getlist(kind)]
    things = [thing for thing in named if thing]
    if query.get("run"):
        things += parts_of_run(query["run"])
    if query.get("kind") in FILTERS and query.get("from"):
        things += things_between(query["kind"], query["from"], query.get("to") or query["from"])
    if printing := printing_numbered(query.get("printing", "")):
        things += [thing_on(label) for label in printed_labels(printing)]
    if (kind := query.get("pick")) in FILTERS:
        codes = filtered(kind, query).qs.values_list("code", flat=True)[: MOST_THINGS + 1]
        things += [Thing(kind, code) for code in codes]
    return things


class PrintForm(ActForm):
    """Labels onto a grid, from its first free label on."""

    happened_at = None
    things = forms.CharField(widget=forms.HiddenInput, max_length=40_000)
    grid = forms.ModelChoiceField(
        label=_("Sheet or roll"), queryset=LabelGrid.objects.all(), empty_label=None
    )
    start = forms.IntegerField(
        label=_("First free label"),
        min_value=1,
        max_value=2500,
        initial=1,
        help_text=_("Row after row, counted from the top left."),
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    reason = forms.CharField(
        label=_("Why again"),
        max_length=300,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean_things(self):
        """Return the things that the page named, each as `kind:CODE`."""
        things = [thing_named(text) for text in self.cleaned_data["things"].split()]
        if None in things:
            raise ValidationError(_("Choose again what to print."), code="no-thing")
        return things

    @staticmethod
    def initial_of(things: list[Thing], query: QueryDict) -> dict:
        """Return what the form shows at first: grid and start of the address, or the grid used last."""
        asked = query.get("grid", "")
        grids = LabelGrid.objects.filter(pk=asked[:9]) if asked.isdecimal() else ()
        start, before = query.get("start", ""), printing_numbered(query.get("printing", ""))
        usual = before.grid if before and before.grid else grid_used_last()
        return {
            "things": " ".join(map(str, things)),
            "grid": grids[0] if grids else usual,
            "start": int(start[:4]) if start.isdecimal() else 1,
        }


class SizeForm(forms.Form):
    """The size of a single label in mm and, for a picture of dots, the printer's resolution."""

    width = FigureField(min_value=LEAST_LABEL_MM, max_value=LARGEST_MM, required=False)
    height = FigureField(min_value=LEAST_LABEL_MM, max_value=LARGEST_MM, required=False)
    dpi = forms.IntegerField(min_value=72, max_value=600, required=False)

    def size(self) -> dict:
        """Return the size that the valid form asks for."""
        asked = self.cleaned_data
        return {
            "width_mm": asked["width"] or WIDTH_MM,
            "height_mm": asked["height"] or HEIGHT_MM,
            "dpi": asked["dpi"] or DPI,
        }


class VoidForm(ReasonForm):
    """Why a label no longer counts."""

    happened_at = None


class AddressForm(ReasonForm):
    """The address that codes carry from now on."""

    happened_at = None
    site_url = forms.CharField(
        label=_("New address"),
        max_length=200,
        help_text=_("What SITE_URL says; it stands before /q/ in every code."),
        widget=forms.TextInput(attrs={"inputmode": "url", "autocomplete": "off"}),
    )


def note_sentence(note: RangeNote) -> str:
    """Return a note on a label as a sentence."""
    return NOTES[note.code] % {"value": f"{note.value:.2f}", "low": f"{note.low:g}"}


def row_names(names) -> str:
    """Return rows of a label in words."""
    return ", ".join(str(ROWS[name]) for name in names)
