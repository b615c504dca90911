"""Pages of scales."""

from inventory.views.access import allows, page, reads


@reads
def index(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("scale.edit")
def create(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("scale.edit")
def edit(request, pk):
    return page(request, "inventory/soon.html", {"place": "none"})
