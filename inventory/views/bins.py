"""Pages of bins."""

from inventory.views.access import allows, page, reads


@reads
def board(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("bin.create")
def create(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def detail(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def make_up(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("lot.move")
def put(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("bin.edit")
def edit(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("bin.retire")
def retire(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})
