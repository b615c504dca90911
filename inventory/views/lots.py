"""Pages of lots."""

from inventory.views.access import allows, page, reads


@reads
def index(request):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def detail(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@reads
def make_up(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("lot.move")
def move(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("lot.dispose")
def dispose(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("bin.empty")
def write_off(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("hold.place")
def hold(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})


@allows("lot.identify")
def identify(request, code):
    return page(request, "inventory/soon.html", {"place": "none"})
