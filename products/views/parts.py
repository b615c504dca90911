"""Pages of parts."""

from inventory.views.access import page, reads


@reads
def index(request):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def detail(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def hand_over(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def take_back(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})
