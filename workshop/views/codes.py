"""A scanned or typed code leads to what it belongs to."""

from django.shortcuts import redirect

from inventory.calculations.codes import LENGTH
from inventory.views.access import page, reads
from workshop.queries.codes import thing_called


@reads
def scan(request, code=""):
    typed = (code or request.GET.get("code", "")).strip()
    thing = thing_called(typed) if typed else None
    if thing:
        return redirect(thing)
    signs = len("".join(typed.replace("-", "").split()))
    context = {"place": "none", "typed": typed, "signs": signs, "length": LENGTH}
    response = page(request, "workshop/codes/unknown.html", context)
    response.status_code = 404 if typed else 200
    return response
