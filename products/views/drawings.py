"""Answers that are a drawing or a document and no page."""

from urllib.parse import quote

from django.http import HttpResponse

POLICIES = {
    "image/svg+xml": "default-src 'none'; sandbox",
    "application/pdf": "frame-ancestors 'none'",  # a viewer of PDFs is a plug-in to some browsers
}


def drawing(content: str | bytes, kind: str, *, name: str = "", download: bool = False):
    """Answer with a drawing of a media type; with a name it is a file, to be kept or shown."""
    response = HttpResponse(content, content_type=kind)
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-cache"
    if kind in POLICIES:
        response["Content-Security-Policy"] = POLICIES[kind]
    if name:
        shown = "attachment" if download else "inline"
        response["Content-Disposition"] = f"{shown}; filename*=UTF-8''{quote(name)}"
    return response


def svg(content: str, **options):
    """Answer with an SVG."""
    return drawing(content, "image/svg+xml", **options)


def pdf(content: bytes, name: str):
    """Answer with a PDF that the browser shows if it can."""
    return drawing(content, "application/pdf", name=name)
