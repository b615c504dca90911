"""What every question about cutting sheets asks: sheets typed or in stock, pieces, the saw, the material."""

import re

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import NumberField
from products.calculations.cut_plans import (
    LEAST_LENGTH_MM,
    LEAST_WIDTH_MM,
    MOST_SHEETS,
    Saw,
    Stock,
    um,
)
from products.forms.lengths import PLACES, LengthField, count_field
from products.queries.cut_plans import densities
from products.queries.sheet_stocks import (
    free_of,
    sheets_alike,
    sheets_called,
    spoken_alike,
    stock_of,
    taken_read,
)

PIECE_ROWS, SPARE_ROWS = 2, 2
MOST_PIECE_ROWS = 12
MOST_KERF_MM, MOST_MARGIN_MM = 30, 500
MOST_THICKNESS_MM = 200
FIELDS = "name|length|width|count|may_turn|file"


def with_room(data, files, rows: dict[str, tuple[int, int]]):
    """Return what was sent with the number of its rows, some empty ones after the last that is filled.

    `rows` says by prefix how many there are at most and at least.
    """
    data = data.copy()
    for prefix, (most, least) in rows.items():
        sent = [*data.items(), *(files or {}).items()]
        filled = [row_of(name, prefix) for name, value in sent if value]
        total = max(least, max(filled, default=0) + SPARE_ROWS)
        data[f"{prefix}-TOTAL_FORMS"] = str(min(most, total))
        data[f"{prefix}-INITIAL_FORMS"] = "0"
    return data


def row_of(name: str, prefix: str) -> int:
    """Return the number of the row, from 1, that a field belongs to; 0 for a field of another kind."""
    found = re.fullmatch(rf"{prefix}-(\d{{1,4}})-(?:{FIELDS})", name)
    return int(found[1]) + 1 if found else 0


def rows_in(sent: dict, prefix: str, *beside: str) -> list[dict]:
    """Return the filled rows among what was sent, in order, each by the names of its fields.

    Fields named in `beside` come along with a filled row; by themselves they make none.
    """
    found = {}
    for name, value in sent.items():
        if value and (number := row_of(name, prefix)):
            found.setdefault(number, {})[name.rpartition("-")[2]] = value
    for number, row in found.items():
        row |= {name: sent.get(f"{prefix}-{number - 1}-{name}", "") for name in beside}
    return [found[number] for number in sorted(found)]


class SizeRow(forms.Form):
    """A row with a length and a width in mm; an empty one counts as none, half a one is refused."""

    length = LengthField(label=_("Length"), required=False)
    width = LengthField(label=_("Width"), required=False)

    @property
    def is_filled(self) -> bool:
        """Return whether the row has both sizes."""
        data = self.cleaned_data
        return bool(data.get("length") and data.get("width"))

    def clean(self):
        data = super().clean()
        typed = {name for name in ("length", "width", "name") if data.get(name)}
        for name in ("length", "width"):
            if typed and name not in typed and name not in self.errors:
                self.add_error(name, ValidationError(_("Enter this size too."), code="size"))
        return data


class PieceRow(SizeRow):
    """An offcut that was kept as a piece."""

    count = count_field(MOST_SHEETS, label=_("How many"), required=False)


PieceRows = forms.formset_factory(
    PieceRow,
    extra=PIECE_ROWS,
    max_num=MOST_PIECE_ROWS,
    absolute_max=MOST_PIECE_ROWS,
    validate_max=True,
)


class SheetsForm(forms.Form):
    """The sheets and the saw, with rows of pieces; what is cut out of them is asked beside."""

    from_stock = forms.BooleanField(label=_("Take sheets that are in stock"), required=False)
    colour = forms.CharField(label=_("Colour"), max_length=80, required=False)
    taken = forms.CharField(max_length=2000, required=False, widget=forms.HiddenInput)
    length = LengthField(label=_("Length of a sheet"), required=False)
    width = LengthField(label=_("Width of a sheet"), required=False)
    thickness = LengthField(least=0.1, most=MOST_THICKNESS_MM, label=_("Thickness"))
    count = count_field(MOST_SHEETS, label=_("Sheets there are"), required=False)
    kerf = LengthField(least=0, most=MOST_KERF_MM, label=_("Width of the kerf"))
    margin = LengthField(least=0, most=MOST_MARGIN_MM, label=_("Trimmed off every edge"))
    polymer = forms.ChoiceField(label=_("Polymer"), required=False)
    density = NumberField(
        label=_("Density, if another"),
        required=False,
        min_value=0.1,
        max_value=20,
        decimal_places=PLACES,
    )
    least_length = LengthField(label=_("Keep offcuts from a length of"))
    least_width = LengthField(label=_("and a width of"))

    initials = {
        "count": 10,
        "kerf": "3.2",
        "margin": 10,
        "least_length": LEAST_LENGTH_MM,
        "least_width": LEAST_WIDTH_MM,
    }

    def __init__(self, data=None, *args, **options):
        super().__init__(data, *args, **options)
        self.initial = self.initials | (options.get("initial") or {})
        self.densities = densities()
        choices = [("", _("none: I type the density"))]
        self.fields["polymer"].choices = choices + [(each, each) for each in self.densities]
        self.pieces = PieceRows(data, prefix="piece", initial=rows_in(self.initial, "piece"))
        self.stock: tuple[Stock, ...] = ()

    def clean(self):
        data = super().clean()
        if not data.get("density"):
            data["density"] = self.densities.get(data.get("polymer"))
        if not data["density"] and not self.errors:
            sentence = _("Choose the polymer or type the density.")
            self.add_error("density", ValidationError(sentence, code="no-density"))
        (self.find_stock if data.get("from_stock") else self.need_sizes)(data)
        if not all([rows.is_valid() for rows in self.rows()]):  # each says what is wrong with it
            self.add_error(None, ValidationError(_("Mend the marked rows."), code="rows"))
        return data

    def rows(self) -> list[forms.BaseFormSet]:
        """Return the sets of rows that have to be valid."""
        return [self.pieces]

    def all_stock(self) -> tuple[Stock, ...]:
        """Return the sheets of the valid form: those in stock or typed, then the pieces typed."""
        pieces = [row.cleaned_data for row in self.pieces if row.is_filled]
        return self.stock + tuple(
            Stock(um(each["length"]), um(each["width"]), each["count"] or 1, is_piece=True)
            for each in pieces
        )

    def saw(self) -> Saw:
        """Return the saw of the valid form."""
        return Saw(um(self.cleaned_data["kerf"]), um(self.cleaned_data["margin"]))

    def least_um(self) -> dict[str, int]:
        """Return from which size on an offcut is kept."""
        sides = ("length", "width")
        return {f"least_{side}_um": um(self.cleaned_data[f"least_{side}"]) for side in sides}

    def need_sizes(self, data: dict) -> None:
        """Refuse typed sheets without a length, a width or a count."""
        for name in ("length", "width", "count"):
            if not data.get(name) and name not in self.errors:
                sentence = _("Enter this, or take sheets that are in stock.")
                self.add_error(name, ValidationError(sentence, code="required"))
        if not self.errors:
            self.stock = (Stock(um(data["length"]), um(data["width"]), data["count"]),)

    def find_stock(self, data: dict) -> None:
        """Find the sheets in stock; refuse `no-polymer` and `no-stock`.

        `taken` names those of an answer that was shown, so that its drawings stay those of it.
        """
        if not data.get("polymer") and "polymer" not in self.errors:
            sentence = _("Choose the polymer of the sheets.")
            self.add_error("polymer", ValidationError(sentence, code="no-polymer"))
        if self.errors:
            return
        alike = {"thickness_mm": data["thickness"], "polymer": data["polymer"]}
        taken = taken_read(data["taken"]) if data.get("taken") else None
        alike["colour"] = data.get("colour", "").strip()
        if taken:  # an answer that was shown stays what it was
            self.stock = stock_of(sheets_called(taken), taken)
        else:
            sheets = sheets_alike(**alike)
            self.stock = stock_of(sheets, free_of(sheets))
        if not self.stock:
            self.add_error("from_stock", none_in_stock(spoken_alike(**alike)))


def none_in_stock(runs: list[str]) -> ValidationError:
    """Return the refusal `no-stock`; it names the runs that are to cut what there is."""
    if runs:
        sentence = _("%(runs)s is to cut all such sheets; its page has the cutting list.")
        return ValidationError(sentence, code="no-stock", params={"runs": ", ".join(runs)})
    sentence = _("No such sheet with a known size is in stock; type the size of one.")
    return ValidationError(sentence, code="no-stock")
