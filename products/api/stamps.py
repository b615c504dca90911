"""The stamp that marks a mould, as a file for the cutter."""

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.exceptions import ValidationError

from products.api.files import DXF, SVG, FileView, file_answer, file_responses, query
from products.calculations.stamps import Polyline, stamp_dxf, stamp_svg
from products.forms.stamps import StampForm

ASKED = [
    query("mark", required=True),
    query("height", OpenApiTypes.FLOAT, required=True),
    query("month"),
    query("workshop"),
    query("tool"),
    query("cavity", OpenApiTypes.INT),
    query("resin"),
    query("size", OpenApiTypes.FLOAT),
    query("readable", OpenApiTypes.BOOL),
]


def strokes_asked(request) -> list[Polyline]:
    """Return the strokes of the stamp that the address describes, or answer 400."""
    form = StampForm(request.GET)
    if not form.is_valid():
        raise ValidationError(form.errors)
    return form.stamp.polylines


@extend_schema(parameters=ASKED, responses=file_responses(SVG))
class StampSvg(FileView):
    """A stamp, mirrored, as an SVG in millimetres."""

    def get(self, request):
        return file_answer(stamp_svg(strokes_asked(request)), SVG)


@extend_schema(parameters=ASKED, responses=file_responses(DXF))
class StampDxf(FileView):
    """A stamp, mirrored, as a DXF of release 12, in millimetres."""

    def get(self, request):
        return file_answer(stamp_dxf(strokes_asked(request)), DXF)
