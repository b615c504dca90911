"""Cut plans: a question with its rows by POST, the plan with its drawings as the answer; nothing is kept."""

from django.urls import reverse
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.api.acts import Body
from inventory.api.fields import TextField, WholeField
from products.calculations.cut_drawings import sheet_dxf, sheet_svg
from products.calculations.cut_plans import MOST_PARTS, MOST_SHEETS, UM_PER_MM, codes_taken
from products.forms.cut_plans import (
    LONGEST_NAME,
    MOST_PART_ROWS,
    CutPlanForm,
)
from products.forms.sheet_questions import MOST_PIECE_ROWS, SheetsForm
from products.queries.cut_plans import cutting_list

IN_MM = ("length", "width", "thickness", "kerf", "margin", "least_length", "least_width")


def length_field(**options) -> serializers.DecimalField:
    """Return the field of a length in mm; its range is that of the page."""
    return serializers.DecimalField(max_digits=9, decimal_places=3, **options)


class CutPieceBody(Body):
    """An offcut kept from before: mm."""

    length_mm = length_field()
    width_mm = length_field()
    count = WholeField(min_value=1, max_value=MOST_SHEETS, default=1)


class PartBody(Body):
    """A part that is wanted: finished size in mm, the length along the pattern of the sheet."""

    name = TextField(max_length=LONGEST_NAME, allow_blank=True, default="")
    length_mm = length_field()
    width_mm = length_field()
    count = WholeField(min_value=1, max_value=MOST_PARTS, default=1)
    may_turn = serializers.BooleanField(default=False)


class SheetsBody(Body):
    """Sheets, pieces and the saw; a density in g/cm3, or a polymer whose typical one is taken.

    With `from_stock` the sheets are those in stock of that polymer, thickness and, if named, colour.
    """

    from_stock = serializers.BooleanField(default=False)
    colour = TextField(max_length=80, allow_blank=True, default="")
    length_mm = length_field(required=False, allow_null=True)
    width_mm = length_field(required=False, allow_null=True)
    thickness_mm = length_field()
    count = WholeField(min_value=1, max_value=MOST_SHEETS, default=CutPlanForm.initials["count"])
    kerf_mm = length_field(default=CutPlanForm.initials["kerf"])
    margin_mm = length_field(default=CutPlanForm.initials["margin"])
    least_length_mm = length_field(default=CutPlanForm.initials["least_length"])
    least_width_mm = length_field(default=CutPlanForm.initials["least_width"])
    polymer = TextField(max_length=40, allow_blank=True, default="")
    density_g_cm3 = serializers.DecimalField(
        max_digits=6, decimal_places=3, required=False, allow_null=True
    )
    pieces = CutPieceBody(many=True, default=list, max_length=MOST_PIECE_ROWS)


class CutPlanBody(SheetsBody):
    """Sheets, pieces, parts and the saw."""

    parts = PartBody(many=True, max_length=MOST_PART_ROWS)


class BoxSerializer(serializers.Serializer):
    """A rectangle on its sheet: the lower left corner, length along x, width along y, in mm."""

    x_mm = serializers.SerializerMethodField()
    y_mm = serializers.SerializerMethodField()
    length_mm = serializers.SerializerMethodField()
    width_mm = serializers.SerializerMethodField()

    def get_x_mm(self, box) -> float:
        return box.x_um / UM_PER_MM

    def get_y_mm(self, box) -> float:
        return box.y_um / UM_PER_MM

    def get_length_mm(self, box) -> float:
        return box.length_um / UM_PER_MM

    def get_width_mm(self, box) -> float:
        return box.width_um / UM_PER_MM


class PlacedSerializer(serializers.Serializer):
    """A part where it is cut out."""

    part = serializers.CharField(source="part.name")
    is_turned = serializers.BooleanField()
    box = BoxSerializer()


class CutSerializer(serializers.Serializer):
    """One cut of the list, in words and mm."""

    piece = serializers.CharField()
    size = serializers.CharField()
    axis = serializers.CharField(help_text="across: along y; along: along x.")
    at_mm = serializers.CharField(help_text="From the left or lower edge of the piece to the kerf.")
    length_mm = serializers.CharField()
    low = serializers.CharField()
    high = serializers.CharField()
    is_trim = serializers.BooleanField()


class SawnSheetSerializer(serializers.Serializer):
    """A sheet: its parts, offcuts worth keeping, scrap, cuts in order, and its drawings as text."""

    size = BoxSerializer()
    is_piece = serializers.BooleanField()
    code = serializers.CharField(help_text="Of the sheet, where it is in stock; else empty.")
    placed = PlacedSerializer(many=True)
    kept = BoxSerializer(many=True)
    scrap = BoxSerializer(many=True)
    cuts = CutSerializer(many=True)
    svg = serializers.CharField()
    dxf = serializers.CharField()


class MissingPartSerializer(serializers.Serializer):
    """A part that found no place, and how often."""

    part = serializers.CharField()
    count = serializers.IntegerField()


class CutPlanSerializer(serializers.Serializer):
    """A plan: whole mg, which sum up to the sheets; the yield is a share of the area, 0 to 1."""

    address = serializers.CharField(
        help_text="Where the page of this plan stays; a run may keep it."
    )
    sheets_mg = serializers.IntegerField()
    parts_mg = serializers.IntegerField()
    kept_mg = serializers.IntegerField()
    scrap_mg = serializers.IntegerField()
    dust_mg = serializers.IntegerField()
    cut_length_mm = serializers.FloatField()
    share_of_parts = serializers.FloatField()
    missing = MissingPartSerializer(many=True)
    sheets = SawnSheetSerializer(many=True)


class CutPlans(ApiView):
    """Plan the cuts of a panel saw: which parts come out of which sheet, in which order."""

    body_class = CutPlanBody
    answer_class = CutPlanSerializer
    answer_status = status.HTTP_200_OK

    def post(self, request):
        body = CutPlanBody(data=request.data)
        body.is_valid(raise_exception=True)
        form = CutPlanForm(as_typed(body.validated_data))
        if not form.is_valid():
            raise refused(form, {"parts": form.parts, "pieces": form.pieces})
        return Response(CutPlanSerializer(told(form)).data)


def as_typed(sent: dict) -> dict[str, str]:
    """Return a body as the page's form would have sent it, so that one form judges both."""
    return sheets_typed(sent) | rows_typed("part", sent["parts"])


def sheets_typed(sent: dict) -> dict[str, str]:
    """Return sheets, pieces and saw of a body as a page would have sent them."""
    typed = {name: sent.get(f"{name}_mm") for name in IN_MM}
    typed |= {name: sent[name] for name in ("count", "polymer", "colour")}
    typed["from_stock"] = sent["from_stock"] or None
    typed["density"] = sent.get("density_g_cm3")
    plain = {name: "" if value is None else str(value) for name, value in typed.items()}
    return plain | rows_typed("piece", sent["pieces"])


def rows_typed(prefix: str, rows: list[dict]) -> dict[str, str]:
    """Return rows of a body as a page would have sent them."""
    return {
        f"{prefix}-{number}-{name.removesuffix('_mm')}": "" if value is None else str(value)
        for number, row in enumerate(rows)
        for name, value in row.items()
    }


def refused(form: SheetsForm, rows: dict) -> Exception:
    """Return the refusal: what is wrong by the names of the body, rows by number; else the plan's own."""
    wrong = {own_name(name): found for name, found in form.errors.items() if name != "__all__"}
    for name, filled in rows.items():
        wrong |= {
            f"{name}.{number}.{own_name(field)}": found
            for number, row in enumerate(filled.errors)
            for field, found in row.items()
        }
    return ValidationError(wrong) if wrong else form.errors.as_data()["__all__"][0]


def own_name(name: str) -> str:
    """Return what the body calls a field of the form."""
    if name == "density":
        return "density_g_cm3"
    return f"{name}_mm" if name in IN_MM else name


def told(form: CutPlanForm) -> dict:
    """Return a plan as the serializer reads it."""
    figures = vars(form.figures)
    return figures | {
        "address": f"{reverse('products:cut-plan-create')}?{form.query()}",
        "cut_length_mm": form.figures.cut_length_um / UM_PER_MM,
        "share_of_parts": float(form.figures.yielded),
        "missing": [{"part": part.name, "count": count} for part, count in form.plan.missing],
        "sheets": [
            {
                "size": sheet.whole,
                "is_piece": sheet.stock.is_piece,
                "code": code,
                "placed": sheet.placed,
                "kept": sheet.kept,
                "scrap": sheet.scrap,
                "cuts": cutting_list(sheet),
                "svg": sheet_svg(sheet),
                "dxf": sheet_dxf(sheet),
            }
            for sheet, code in zip(form.plan.sheets, codes_taken(form.plan), strict=True)
        ],
    }
