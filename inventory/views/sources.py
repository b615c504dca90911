"""Pages of sources."""

from inventory.views.access import allows, page, reads


@reads
def index(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("source.edit")
def create(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def detail(request, pk):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("source.edit")
def edit(request, pk):
    return page(request, "inventory/soon.html", {"place": "none"})
