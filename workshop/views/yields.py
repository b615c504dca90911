"""Pages that weigh out of a run."""

from inventory.views.access import page, reads


@reads
def weigh_out(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})
