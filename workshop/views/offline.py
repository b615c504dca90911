"""Pages without network: the service worker, what it keeps, and the page it shows for what it has not."""

import json
from urllib.parse import quote

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from inventory.models import Bin
from inventory.queries.access import role_of
from inventory.views.access import page, reads
from workshop.queries.offline import bins_to_keep, runs_to_keep

# Kept as somebody opens them. Settings, people, prints and what is only read are not.
KEPT_PLACES = ["/bins/", "/lots/", "/runs/", "/deliveries/", "/machines/", "/parts/", "/q/"]
FIRST_PAGES = ["home", "workshop:run-list", "inventory:bin-board", "scan", "offline"]
TURN_PLACE = "/bench/"  # where one person follows another at a shared tablet
SIGN_IN_PAGES = ["login", "logout"]


@never_cache
@login_not_required
@require_safe
def worker(request):
    """Serve the service worker from the root, so that it may answer for every page."""
    facts = {
        "version": getattr(staticfiles_storage, "manifest_hash", "") or "unhashed",
        "static": staticfiles_storage.base_url,
        "places": KEPT_PLACES,
        "firstPages": [reverse(name) for name in FIRST_PAGES],
        "signInPages": [reverse(name) for name in SIGN_IN_PAGES],
        "offlinePage": reverse("offline"),
        "scanPage": reverse("scan"),
        "turnPlace": TURN_PLACE,
        "listAddress": reverse("offline-pages"),
    }
    context = {"facts": json.dumps(facts)}
    script = render(request, "workshop/offline/worker.js", context, content_type="text/javascript")
    script.headers["Service-Worker-Allowed"] = "/"
    return script


@never_cache
@reads
def pages(request):
    """List what the worker keeps beside the first pages, and where codes and names lead."""
    runs, bins = runs_to_keep(), bins_to_keep()
    things = [*runs, *(bin for bin, _fill in bins)]
    codes = {
        flat(name): {"page": thing.get_absolute_url()} for thing in things for name in names(thing)
    }
    for bin, fill in bins:
        if fill:
            found = {"page": bin.get_absolute_url(), "lot": fill.code}
            codes |= {flat(name): found for name in [bin.code, bin.name, fill.code]}
    roots = [thing.get_absolute_url() for thing in things]
    return JsonResponse({"pages": roots, "codes": codes})


def names(thing) -> list[str]:
    """Return the texts that name a run or a bin: its code, and its number or name."""
    return [thing.code, thing.name if isinstance(thing, Bin) else thing.number]


def flat(text: str) -> str:
    """Return a typed name as the worker compares it."""
    return "".join(text.upper().replace("-", "").split())


@reads
def offline(request):
    """Show what can be opened without network; the worker keeps this page and shows it then."""
    context = {"place": "none", "runs": runs_to_keep()}
    return page(request, "workshop/offline/offline.html", context)


def name_person(get_response):
    """Say on each page for whom it was made, so that a tablet keeps everybody's pages apart."""

    def middleware(request):
        response = get_response(request)
        if request.session.accessed and role_of(request.user):
            response.headers["X-Person"] = quote(request.user.get_username())
        return response

    return middleware
