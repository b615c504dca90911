"""What is to be nested onto sheets: outlines as DXF or SVG, or rectangles, with how they may be turned."""

from pathlib import PurePath

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from products.actions.nested_plans import NestAsk
from products.calculations.cut_plans import um
from products.calculations.nesting import LEAST_SECONDS, MOST_SECONDS, USUAL_SECONDS
from products.calculations.nestings import MOST_SHAPES, NestQuestion, Shape
from products.calculations.outlines import (
    MM_PER_UNIT,
    MOST_BYTES,
    Outline,
    OutlineError,
    rectangle,
)
from products.calculations.outlines_dxf import outlines_of_dxf
from products.calculations.outlines_svg import outlines_of_svg
from products.forms.cut_plans import LONGEST_NAME
from products.forms.lengths import count_field
from products.forms.sheet_questions import (
    MOST_PIECE_ROWS,
    PIECE_ROWS,
    SheetsForm,
    SizeRow,
    rows_in,
    with_room,
)
from products.queries.sentences import said

SHAPE_ROWS, MOST_SHAPE_ROWS = 4, 20
ROWS = {"shape": (MOST_SHAPE_ROWS, SHAPE_ROWS), "piece": (MOST_PIECE_ROWS, PIECE_ROWS)}
READERS = {".dxf": outlines_of_dxf, ".svg": outlines_of_svg}
TURN_CHOICES = [
    ("none", _("as drawn")),
    ("half", _("as drawn or upside down")),
    ("quarter", _("by quarter turns")),
    ("free", _("any way")),
]


class ShapeRow(SizeRow):
    """Outlines of a file, or a rectangle; valid, it has its outlines."""

    name = forms.CharField(label=_("Part"), max_length=LONGEST_NAME, required=False)
    file = forms.FileField(
        label=_("DXF or SVG"),
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".dxf,.svg,image/svg+xml"}),
    )
    unit = forms.ChoiceField(
        label=_("Unit of the file"),
        required=False,
        choices=[("", _("its own")), *((each, each) for each in MM_PER_UNIT)],
    )
    count = count_field(MOST_SHAPES, label=_("How many"), required=False)
    turn = forms.ChoiceField(label=_("May lie"), required=False, choices=TURN_CHOICES)
    field_order = ("name", "file", "unit", "length", "width", "count", "turn")
    outlines: list[Outline] = ()

    @property
    def is_filled(self) -> bool:
        """Return whether the row has outlines."""
        return bool(self.outlines)

    def clean(self):
        if not self.cleaned_data.get("file"):
            data = super().clean()
            if data.get("length") and data.get("width"):
                self.outlines = [rectangle(um(data["length"]), um(data["width"]))]
            return data
        try:
            self.outlines = self.read(self.cleaned_data["file"])
        except OutlineError as error:
            place = "unit" if error.code == "file-unit" else "file"
            self.add_error(place, ValidationError(said(error.sentence), code=error.code))
        return self.cleaned_data

    def read(self, upload) -> list[Outline]:
        """Return the outlines of a file; what it is goes by the end of its name."""
        reader = READERS.get(PurePath(upload.name).suffix.lower())
        if reader is None:
            raise OutlineError("file-kind-unknown")
        return reader(upload.read(MOST_BYTES + 1), self.cleaned_data.get("unit", ""))

    def shapes(self, number: int) -> list[Shape]:
        """Return the shapes of the valid row; several outlines of a file are numbered."""
        data = self.cleaned_data
        stem = PurePath(data["file"].name).stem if data.get("file") else str(number)
        name = " ".join((data["name"] or stem).split())[:LONGEST_NAME]
        names = (
            [name]
            if len(self.outlines) == 1
            else [f"{name} {at}" for at in range(1, len(self.outlines) + 1)]
        )
        count, turn = data["count"] or 1, data["turn"] or "none"
        pairs = zip(names, self.outlines, strict=True)
        return [Shape(each, outline, count, turn) for each, outline in pairs]


ShapeRows = forms.formset_factory(
    ShapeRow,
    extra=SHAPE_ROWS,
    max_num=MOST_SHAPE_ROWS,
    absolute_max=MOST_SHAPE_ROWS,
    validate_max=True,
)


def named_by_file(row: dict) -> dict:
    """Return a typed row with the name of its file as its own where it has none: files are not sent back."""
    return row | {"name": row.get("name") or PurePath(row.get("file", "")).stem}


class NestedPlanForm(ActForm, SheetsForm):
    """Sheets and saw with rows of outlines; valid, it has the question."""

    seconds = forms.IntegerField(
        label=_("Search for about"),
        min_value=LEAST_SECONDS,
        max_value=MOST_SECONDS,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    initials = SheetsForm.initials | {"seconds": USUAL_SECONDS}

    def __init__(self, data=None, files=None, initial=None):
        data = None if data is None else with_room(data, files, ROWS)
        super().__init__(data, files, initial=initial)
        first = [named_by_file(row) for row in rows_in(self.initial, "shape", "unit", "turn")]
        self.shapes = ShapeRows(data, files, prefix="shape", initial=first)

    def rows(self):
        return [self.shapes, self.pieces]

    def clean(self):
        data = super().clean()
        if self.errors and any(row.files for row in self.shapes):  # browsers cannot send them back
            sentence = _("Files are not kept yet; choose them again.")
            self.add_error(None, ValidationError(sentence, code="files"))
        return data

    def ask(self) -> NestAsk:
        """Return what the valid form asks."""
        data = self.cleaned_data
        rows = [row for row in self.shapes if row.is_filled]
        shapes = [shape for number, row in enumerate(rows, 1) for shape in row.shapes(number)]
        question = NestQuestion(self.all_stock(), tuple(shapes), self.saw(), **self.least_um())
        return NestAsk(
            question=question,
            polymer=data["polymer"],
            colour=data["colour"],
            thickness_um=um(data["thickness"]),
            density_g_cm3=data["density"],
            is_from_stock=bool(data["from_stock"]),
            seconds=data["seconds"] or USUAL_SECONDS,
        )
