"""Pages of traces."""

from inventory.views.access import page, reads


@reads
def start(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def detail(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def origins(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def steps(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def uses(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})
