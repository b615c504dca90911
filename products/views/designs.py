"""Pages of designs."""

from inventory.views.access import page, reads


@reads
def index(request):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def create(request):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def detail(request, pk):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def edit(request, pk):
    return page(request, "workshop/home/index.html", {"place": "none"})


@reads
def withdraw(request, pk):
    return page(request, "workshop/home/index.html", {"place": "none"})
