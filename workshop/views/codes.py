"""A scanned or typed code leads to what it belongs to: staff to its working page, anyone to what is public."""

from functools import partial

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from inventory.calculations.codes import LENGTH
from inventory.models import Bin, Delivery
from inventory.queries.access import may, role_of
from inventory.views.access import page
from products.models import Label, Part
from products.queries.labels import label_called, row_of, thing_on
from products.views.passports import passport_answer, uncached
from workshop.models import Piece, Run
from workshop.queries.codes import scanned_text, thing_called, thing_found
from workshop.queries.scans import foreign_sentence, meaning_of, spot_of
from workshop.views.recent_scans import keep_scans, remember_scan

WORDS = {Bin: _("a bin"), Delivery: _("a delivery"), Run: _("a run")}
A_LOT = _("a lot of plastic")
ASKS_FOR_PASSPORT = {"version", "format"}


@login_not_required
@require_safe
def scan(request, code=""):
    typed = scanned_text(code or request.GET.get("code", ""))
    label = label_called(typed)
    void = label if label and label.voided_at else None
    answer = for_staff if role_of(request.user) else for_anyone
    return answer(request, typed, void)


@login_not_required
@require_safe
def exported(request, code):
    """Lead from the id that an export gave a thing or lot to what its code leads to."""
    return uncached(redirect("scan-code", code=code))


def for_staff(request, typed: str, void: Label | None) -> HttpResponse:
    """Lead to the working page; a part's public page is a question away."""
    if void:
        return void_page(request, void)
    if ASKS_FOR_PASSPORT & request.GET.keys() and isinstance(part := thing_called(typed), Part):
        return passport_answer(request, part)
    spot = spot_of(request.GET.dict())
    found = meaning_of(typed, spot, partial(may, request.user))
    if found.kind:
        remember_scan(request, found)
        if found.fits:
            return keep_scans(request, uncached(redirect(found.url)))
        context = {"place": "runs" if spot.run else "none", "found": found, "run": spot.run}
        return keep_scans(request, answered(request, "workshop/codes/misfit.html", context, 422))
    foreign = foreign_sentence(typed)  # what it says may be a password and is not shown again
    context = {"place": "none", "typed": "" if foreign else typed, "foreign": foreign}
    context |= {"signs": len("".join(typed.replace("-", "").split())), "length": LENGTH}
    return answered(request, "workshop/codes/unknown.html", context, 404 if typed else 200)


def void_page(request, void: Label) -> HttpResponse:
    """Say that a label is void, and lead to its thing and to the label that replaced it."""
    thing = row_of(thing_on(void))
    context = {"place": "none", "label": void, "thing": thing, "newer": void.replaced_by}
    return answered(request, "workshop/codes/void.html", context, 410)


def for_anyone(request, typed: str, void: Label | None) -> HttpResponse:
    """Show the passport of a part; of anything else only that it is the workshop's."""
    if void:
        return answered(request, "workshop/codes/gone.html", {"is_label": True}, 410)
    thing = thing_found(typed) if typed else None
    if thing is None:
        context = {"typed": typed, "length": LENGTH}
        return answered(request, "workshop/codes/lost.html", context, 404 if typed else 200)
    if isinstance(thing, Piece):
        return answered(request, "workshop/codes/piece.html", {"piece": thing})
    if not isinstance(thing, Part):
        return answered(request, "workshop/codes/label.html", {"what": word_for(thing)})
    if not thing.lot.in_mg:
        return answered(request, "workshop/codes/gone.html", {"is_label": False}, 410)
    return passport_answer(request, thing)


def word_for(thing) -> str:
    """Return the word for what a label is on."""
    return WORDS.get(type(thing), A_LOT)


def answered(request, template: str, context: dict, status: int = 200) -> HttpResponse:
    """Render a page that nobody may keep."""
    response = page(request, template, context)
    response.status_code = status
    return uncached(response)
