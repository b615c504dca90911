"""Pages of tooling."""

from inventory.views.access import page, reads


@reads
def index(request):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def create(request):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def edit(request, pk):
    return page(request, "workshop/home/index.html", {"place": "none"})
