"""Pages of materials."""

from inventory.views.access import allows, page, reads


@reads
def index(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("blend.switch")
def switch(request):
    return page(request, "inventory/soon.html", {"place": "none"})
