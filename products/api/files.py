"""Answers that are a file: a sheet, a label, a stamp."""

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter

from inventory.api.access import ApiView
from inventory.api.schemas import READ_REFUSALS, RefusalSerializer

PDF, SVG, PNG, DXF = "application/pdf", "image/svg+xml", "image/png", "application/dxf"


class FileView(ApiView):
    """A file by GET, whatever a client says it accepts; a refusal is JSON as everywhere."""

    def perform_content_negotiation(self, request, force=False):  # noqa: FBT002 (the library's own)
        return super().perform_content_negotiation(request, force=True)


def file_answer(content: str | bytes, kind: str) -> HttpResponse:
    """Answer with a file of a media type."""
    response = HttpResponse(content, content_type=kind)
    response["X-Content-Type-Options"] = "nosniff"
    return response


def file_responses(kind: str, refusals=READ_REFUSALS) -> dict:
    """Return what the schema says of a file; one by POST names the refusals of writes."""
    return {(200, kind): OpenApiTypes.BINARY} | dict.fromkeys(refusals, RefusalSerializer)


def query(name: str, kind=OpenApiTypes.STR, *, required: bool = False) -> OpenApiParameter:
    """Return what the schema says of a parameter in the address."""
    return OpenApiParameter(name, kind, OpenApiParameter.QUERY, required=required)


SIZES = [query("width", OpenApiTypes.FLOAT), query("height", OpenApiTypes.FLOAT)]
DOTS = [*SIZES, query("dpi", OpenApiTypes.INT)]
