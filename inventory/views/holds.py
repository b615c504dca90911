"""Pages of holds."""

from inventory.views.access import allows, page, reads


@reads
def index(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("hold.lift")
def lift(request, pk):
    return page(request, "inventory/soon.html", {"place": "none"})
