"""What every page may print."""

from django.conf import settings

from inventory.queries.access import may
from workshop.queries.scans import SPOT_NAMES
from workshop.views.hands import hand_of
from workshop.views.recent_scans import recent_scans

FETCHED_AHEAD = "X-Fetched-Ahead"
RUN_STAGES = {
    "workshop:run-load": "load",
    "workshop:run-carry": "load",
    "workshop:run-yield": "weigh",
}
SCANNING = ("scan", "scan-code", "scan-photo")  # the next scan is for the same page
COUNTING = ("inventory:bin-count", "inventory:count-list", "inventory:round-list")


def workshop_facts(request):
    """Return the workshop's name, and for the menu who may set PINs; asked only where it is printed."""
    return {
        "workshop_name": settings.WORKSHOP_NAME,
        "workshop_zone": settings.TIME_ZONE,
        "hand": hand_of(request),
        "may_audit": lambda: may(request.user, "audit.make"),
        "may_set_pins": lambda: may(request.user, "pin.set"),
        "may_set_own_pin": lambda: may(request.user, "pin.own"),
    }


def messages_for_eyes(request):
    """Leave messages for the page that somebody sees: what the worker fetches ahead would use them up."""
    return {"messages": ()} if request.headers.get(FETCHED_AHEAD) else {}


def scan_box(request):
    """Return what the scan field of each page needs: where the page is, and the last scans."""
    return {
        "scan_spot": lambda: spot_here(request),
        "recent_scans": lambda: recent_scans(request),
        "scanner": {"prefix": settings.SCANNER_PREFIX, "suffix": settings.SCANNER_SUFFIX},
    }


def spot_here(request) -> dict[str, str]:
    """Return what a scan on this page is for: the run of a run's page, the round or task of a count."""
    match = request.resolver_match
    if match is None:
        return {}
    name, keys = match.view_name or "", match.kwargs
    if name in SCANNING:
        asked = request.POST or request.GET
        return {each: asked.get(each, "") for each in SPOT_NAMES}
    if name.startswith("workshop:run-") and "code" in keys:
        kind = request.GET.get("kind", "")
        return {"run": keys["code"], "stage": RUN_STAGES.get(name, ""), "kind": kind}
    if name.startswith("inventory:round-") and "pk" in keys:
        return {"round": str(keys["pk"])}
    if name == "inventory:bin-count" and (number := request.GET.get("round")):
        return {"round": number}
    return {"task": "count"} if name in COUNTING else {}
