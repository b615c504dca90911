"""Pages of postings."""

from inventory.views.access import allows, page, reads


@reads
def index(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def detail(request, uuid):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("posting.reverse")
def reverse(request, uuid):
    return page(request, "inventory/soon.html", {"place": "none"})
