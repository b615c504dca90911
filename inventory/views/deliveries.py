"""Pages of deliveries."""

from inventory.views.access import allows, page, reads


@reads
def index(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("delivery.receive")
def create(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def detail(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def photo(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})
