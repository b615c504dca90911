"""A scanned or typed code leads to what it belongs to."""

from inventory.views.access import page, reads


@reads
def scan(request, code=""):
    return page(request, "workshop/home/index.html", {"place": "none"})
