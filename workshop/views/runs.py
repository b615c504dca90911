"""Pages of runs."""

from inventory.views.access import page, reads


@reads
def index(request):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def open_one(request):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def detail(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def close(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def abandon(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def reopen(request, code):
    return page(request, "workshop/home/index.html", {"place": "none"})
