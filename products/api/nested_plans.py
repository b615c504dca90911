"""Nested plans: a question by POST is searched once and kept; read again as it was found."""

from django.core.files.uploadedfile import SimpleUploadedFile
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView, JsonBody
from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, change_of
from inventory.api.fields import TextField, WholeField
from inventory.api.names import found
from inventory.api.reads import ListView
from products.actions.nested_plans import make_nested_plan
from products.api.cut_plans import (
    MissingPartSerializer,
    SheetsBody,
    length_field,
    refused,
    rows_typed,
    sheets_typed,
)
from products.calculations.cut_plans import UM_PER_MM
from products.calculations.nested_drawings import nested_dxf, nested_svg
from products.calculations.nesting import LEAST_SECONDS, MOST_SECONDS, USUAL_SECONDS
from products.calculations.nesting_records import nested_of
from products.calculations.nestings import MOST_SHAPES, kept_of
from products.calculations.outlines import MM_PER_UNIT, MOST_BYTES
from products.forms.cut_plans import LONGEST_NAME
from products.forms.nested_plans import MOST_SHAPE_ROWS, TURN_CHOICES, NestedPlanForm
from products.models import NestedPlan
from products.queries.nested_plans import missing_said, nested_plan_list


class NestBody(JsonBody):
    """JSON as everywhere, with room for some files of outlines."""

    most_bytes = 4 * MOST_BYTES


class ShapeBody(Body):
    """Outlines as the text of a DXF or SVG, or a rectangle in mm; how many, and how they may lie."""

    name = TextField(max_length=LONGEST_NAME, allow_blank=True, default="")
    format = serializers.ChoiceField(choices=["dxf", "svg"], required=False)
    text = serializers.CharField(
        max_length=MOST_BYTES, required=False, allow_blank=True, trim_whitespace=False
    )
    unit = serializers.ChoiceField(choices=["", *MM_PER_UNIT], default="")
    length_mm = length_field(required=False, allow_null=True)
    width_mm = length_field(required=False, allow_null=True)
    count = WholeField(min_value=1, max_value=MOST_SHAPES, default=1)
    turn = serializers.ChoiceField(choices=[key for key, _label in TURN_CHOICES], default="none")


class NestedPlanBody(SheetsBody, ActBody):
    """Sheets, pieces, outlines and the saw, and for about how long is searched."""

    seconds = WholeField(min_value=LEAST_SECONDS, max_value=MOST_SECONDS, default=USUAL_SECONDS)
    shapes = ShapeBody(many=True, max_length=MOST_SHAPE_ROWS)


class NestedPartSerializer(serializers.Serializer):
    """A part where it is cut: its outline on the sheet in mm, counterclockwise."""

    part = serializers.CharField()
    angle_deg = serializers.FloatField()
    points_mm = serializers.ListField(child=serializers.ListField(child=serializers.FloatField()))


class KeptSerializer(serializers.Serializer):
    """The offcut that is worth keeping: its lower left corner, length and width in mm."""

    x_mm = serializers.FloatField()
    y_mm = serializers.FloatField()
    length_mm = serializers.FloatField()
    width_mm = serializers.FloatField()


class NestedSheetSerializer(serializers.Serializer):
    """A sheet: its parts in the order of cutting, the offcut to keep, and its drawings as text."""

    length_mm = serializers.FloatField()
    width_mm = serializers.FloatField()
    is_piece = serializers.BooleanField()
    code = serializers.CharField(help_text="Of the sheet, where it was in stock; else empty.")
    placed = NestedPartSerializer(many=True)
    kept = KeptSerializer(allow_null=True)
    svg = serializers.CharField()
    dxf = serializers.CharField()


class ListedNestedPlanSerializer(serializers.Serializer):
    """A plan that was kept: whole mg, which sum up to the sheets; the yield is a share, 0 to 1."""

    id = serializers.IntegerField()
    number = serializers.CharField()
    made_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    polymer = serializers.CharField()
    thickness_um = serializers.IntegerField()
    density_g_cm3 = serializers.DecimalField(max_digits=6, decimal_places=3)
    sheets_mg = serializers.IntegerField()
    parts_mg = serializers.IntegerField()
    kept_mg = serializers.IntegerField()
    scrap_mg = serializers.IntegerField()
    dust_mg = serializers.IntegerField()
    share_of_parts = serializers.FloatField(source="yielded")


class SearchSerializer(serializers.Serializer):
    """How long was searched: as asked in s, and by the clock in ms."""

    asked_s = serializers.IntegerField()
    spent_ms = serializers.IntegerField()
    program = serializers.CharField()


class NestedPlanSerializer(ListedNestedPlanSerializer):
    """A plan with its sheets; plans of before it was kept do not say how long was searched."""

    search = SearchSerializer(allow_null=True)
    missing = serializers.SerializerMethodField()
    sheets = serializers.SerializerMethodField()

    @extend_schema_field(MissingPartSerializer(many=True))
    def get_missing(self, plan) -> list[dict]:
        rows = [{"part": n, "count": c} for n, c in missing_said(nested_of(plan.content))]
        return MissingPartSerializer(rows, many=True).data

    @extend_schema_field(NestedSheetSerializer(many=True))
    def get_sheets(self, plan) -> list[dict]:
        return NestedSheetSerializer(sheets_told(plan), many=True).data


class NestedPlanAnswer(NestedPlanSerializer):
    """A plan as it was found, and the act that keeps it."""

    change = ChangeSerializer()


class NestedPlans(ActView, ListView):
    """Every nested plan, newest first; POST searches one, which takes some seconds, and keeps it."""

    act = "cut-plan.nest"
    queryset = nested_plan_list()
    serializer_class = ListedNestedPlanSerializer
    parser_classes = [NestBody]
    body_class = NestedPlanBody
    answer_class = NestedPlanAnswer

    def perform(self, sent, act):
        form = NestedPlanForm(*as_sent(sent))
        if not form.is_valid():
            raise refused(form, {"shapes": form.shapes, "pieces": form.pieces})
        plan = make_nested_plan(ask=form.ask(), act=act)
        plan.change = change_of(act)
        return plan


class OneNestedPlan(ApiView):
    """One nested plan by its number, as it was found."""

    queryset = NestedPlan.objects.select_related("by")
    serializer_class = NestedPlanSerializer

    def get(self, request, id):
        return Response(NestedPlanSerializer(found(self.get_queryset().filter(pk=id).first())).data)


def as_sent(sent: dict) -> tuple[dict[str, str], dict]:
    """Return a body as the page's form would have sent it: fields and files."""
    rows, files = [], {}
    for number, shape in enumerate(sent["shapes"]):
        row = dict(shape)
        kind, text = row.pop("format", None), row.pop("text", None)
        if kind or text is not None:
            name = f"{row['name'] or number + 1}.{kind or 'unknown'}".replace("/", "_")
            content = (text or "").encode("utf-8", errors="replace")
            files[f"shape-{number}-file"] = SimpleUploadedFile(name, content)
        rows.append(row)
    typed = sheets_typed(sent) | rows_typed("shape", rows)
    return typed | {"key": str(sent["uuid"]), "seconds": str(sent["seconds"])}, files


def sheets_told(plan: NestedPlan) -> list[dict]:
    """Return the sheets of a plan as the serializer reads them."""
    nested = nested_of(plan.content)
    return [sheet_told(sheet, nested.question) for sheet in nested.sheets]


def sheet_told(sheet, question) -> dict:
    """Return one sheet as the serializer reads it."""
    kept = kept_of(sheet, question)
    sides = ("x", "y", "length", "width")
    return {
        "length_mm": sheet.stock.length_um / UM_PER_MM,
        "width_mm": sheet.stock.width_um / UM_PER_MM,
        "is_piece": sheet.stock.is_piece,
        "code": sheet.code,
        "placed": [
            {
                "part": question.shapes[each.shape].name,
                "angle_deg": each.angle_deg,
                "points_mm": [[x / UM_PER_MM, y / UM_PER_MM] for x, y in each.outline.points],
            }
            for each in sheet.placed
        ],
        "kept": kept and {f"{side}_mm": getattr(kept, f"{side}_um") / UM_PER_MM for side in sides},
        "svg": nested_svg(sheet, question),
        "dxf": nested_dxf(sheet, question),
    }
