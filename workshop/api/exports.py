"""Documents in open formats, to fetch: EPCIS 2.0 and W3C PROV."""

from django.http import StreamingHttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.exceptions import ValidationError

from inventory.calculations.epcis_terms import MEDIA_TYPE
from inventory.calculations.prov_documents import JSON_TYPE, NOTATION_TYPE
from products.api.files import FileView, file_responses, query
from workshop.forms.exports import ScopeForm
from workshop.queries.exports import Kind, document_of

ASKED = [
    query("code"),
    query("direction"),
    query("since", OpenApiTypes.DATE),
    query("until", OpenApiTypes.DATE),
]


class ExportView(FileView):
    """What a code with a direction (back or forward), or days from and until, tell of."""

    kind: str

    def answer(self, request) -> StreamingHttpResponse:
        """Answer with the document, some at a time."""
        form = ScopeForm(request.query_params)
        if not form.is_valid():
            raise ValidationError(form.errors)
        document = document_of(form.cleaned_data["scope"], self.kind)
        response = StreamingHttpResponse(document.chunks, content_type=document.media_type)
        response["X-Content-Type-Options"] = "nosniff"
        return response


@extend_schema(parameters=ASKED, responses=file_responses(MEDIA_TYPE))
class Epcis(ExportView):
    """A trace or a time as an EPCIS 2.0 document, JSON-LD, of any length."""

    kind = Kind.EPCIS

    def get(self, request):
        return self.answer(request)


@extend_schema(parameters=ASKED, responses=file_responses(JSON_TYPE))
class ProvJson(ExportView):
    """A trace or a time as a W3C PROV document in PROV-JSON, of any length."""

    kind = Kind.PROV_JSON

    def get(self, request):
        return self.answer(request)


@extend_schema(parameters=ASKED, responses=file_responses(NOTATION_TYPE))
class ProvNotation(ExportView):
    """A trace or a time as a W3C PROV document in PROV-N, of any length."""

    kind = Kind.PROV_N

    def get(self, request):
        return self.answer(request)
