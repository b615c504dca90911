"""The start page."""

from inventory.views.access import page, reads


@reads
def index(request):
    return page(request, "workshop/home/index.html", {"place": "none"})
