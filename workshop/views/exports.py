"""Documents in open formats: choosing what they tell of, and fetching them."""

from django.http import StreamingHttpResponse

from inventory.views.access import page, reads
from workshop.forms.exports import Direction, ExportForm
from workshop.queries.exports import Document, Kind, document_of


@reads
def choose(request):
    start = {"direction": Direction.BACK, "kind": Kind.EPCIS} | request.GET.dict()
    return choice(request, ExportForm(initial=start))


@reads
def document(request):
    form = ExportForm(request.GET)
    if form.is_valid():
        return file_of(document_of(form.cleaned_data["scope"], form.cleaned_data["kind"]))
    return choice(request, form)


def choice(request, form):
    """Show what can be chosen."""
    return page(request, "workshop/exports/choose.html", {"place": "trace"}, form)


def file_of(document: Document) -> StreamingHttpResponse:
    """Answer with a document, some at a time."""
    response = StreamingHttpResponse(document.chunks, content_type=document.media_type)
    response["Content-Disposition"] = f'attachment; filename="{document.file_name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
