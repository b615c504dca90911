"""The whole book, verified while somebody waits."""

from inventory.queries.verdicts import MOST_TRANSFERS, verdict
from inventory.views.access import page, reads


@reads
def detail(request):
    context = {"place": "none", "verdict": verdict(), "most": MOST_TRANSFERS}
    return page(request, "inventory/verification/detail.html", context)
