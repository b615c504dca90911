"""Pages that load a run."""

from inventory.views.access import page, reads


@reads
def load(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def carry(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})
