"""Pages of parts."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.calculations.codes import group_code
from inventory.queries.access import may
from inventory.queries.traces import in_words, make_up_of, origins_of
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing
from products.actions.parts import hand_over_part, take_back_part
from products.forms.parts import HandOverForm, PartFilter, TakeBackForm
from products.forms.passports import changed_words
from products.models import Part
from products.queries.parts import PartState, part_list, state_pill
from products.queries.passports import label_state, passport_list
from products.queries.spoken_sheets import claims_on
from products.queries.stale_passports import stale_passport
from products.views.fixings import fixings_of

COLUMNS = (
    Column(gettext_lazy("Part"), "design"),
    Column(gettext_lazy("Made of")),
    Column(gettext_lazy("Mass"), "mass", numeric=True),
    Column(gettext_lazy("Made"), "made"),
    Column(gettext_lazy("State")),
)
MOST_ORIGINS = 5


def part_row(part: Part) -> dict:
    """Return a part of the part list as its row prints it."""
    pill, label = state_pill(part)
    return {"part": part, "pill": pill, "state": label, "lot": part.lot}


@reads
def index(request):
    filters = PartFilter(request.GET, queryset=part_list())
    context = listing(request, filters, COLUMNS, place="products")
    context["rows"] = [part_row(part) for part in context["page"]]
    context["can"] = granted(request.user)
    return page(request, "products/parts/index.html", context)


@reads
def detail(request, code):
    part = get_object_or_404(part_list(), code=code)
    origins = origins_of(part.lot)
    context = part_row(part) | fixings_of(part, request.user)
    context |= {
        "place": "products",
        "can": granted(request.user),
        "make_up": in_words(make_up_of(part.lot)),
        "origins": origins[:MOST_ORIGINS],
        "more_origins": max(0, len(origins) - MOST_ORIGINS),
        "facts": facts_of(part),
        "handovers": handover_entries(part),
        "claims": claims_on(part),
        "hold": part.lot.holds.open().first() if part.is_held else None,
        "passports": passport_rows(part),
        "changed": changed_words(stale.changed) if (stale := stale_passport(part)) else "",
        "may_hand_over": may(request.user, "part.hand-over") and may_leave(part),
        "may_divide": may(request.user, "part.divide") and may_give_pieces(part),
        "may_take_back": may(request.user, "part.take-back") and part.state == PartState.IN_USE,
    }
    return page(request, "products/parts/detail.html", context)


def may_leave(part: Part) -> bool:
    """Return whether a part could be handed over now."""
    return part.state == PartState.IN_STOCK and not part.is_held


def may_give_pieces(part: Part) -> bool:
    """Return whether some of its pieces could get a code of their own now."""
    return may_leave(part) and part.pieces_left > 1


def facts_of(part: Part) -> list[tuple]:
    """Return what the page of a part says of it, the run by the number its posting keeps."""
    left = _("%(left)s of %(made)s") % {"left": part.pieces_left, "made": part.pieces}
    bag = part.bag
    out_of = [(_("Out of the bag"), group_code(bag.code), bag.get_absolute_url())] if bag else []
    return [
        (_("Code"), group_code(part.code)),
        (_("Design"), part.design.name, part.design.get_absolute_url()),
        *out_of,
        *([(_("Size"), str(part.size))] if part.size else []),
        (_("Pieces left"), left),
        (_("Colour"), part.lot.colour.name),
        (_("Made in"), part.run_number, reverse("scan-code", args=[part.run_number])),
        (_("Posting"), part.made_in.number, part.made_in.get_absolute_url()),
    ]


def handover_entries(part: Part) -> list[dict]:
    """Return handings over and returns as a timeline, newest first."""
    entries = []
    for handover in part.handovers.select_related("out_by", "back_by"):
        if handover.back_at:
            entries.append(
                {
                    "what": _("Taken back"),
                    "happened_at": handover.back_at,
                    "who": handover.back_by.get_username(),
                    "note": handover.state_on_return,
                }
            )
        entries.append(
            {
                "what": _("Handed over"),
                "happened_at": handover.out_at,
                "who": handover.out_by.get_username(),
                "note": handover.to,
            }
        )
    return entries


def passport_rows(part: Part) -> list[dict]:
    """Return the versions of a part's passport with the address where anybody reads each."""
    address = reverse("scan-code", args=[label_state(part).code])
    return [
        {"passport": each, "url": f"{address}?version={each.version}"}
        for each in passport_list(part)
    ]


@allows("part.hand-over")
def hand_over(request, code):
    part = get_object_or_404(part_list(), code=code)
    claims = claims_on(part)
    form = HandOverForm(request.POST or None, part=part, claims=claims)
    if form.is_valid():
        how = {"to": form.cleaned_data["to"], "is_confirmed": form.is_confirmed()}
        if attempt(form, hand_over_part, part=part, act=form.act(request.user), **how):
            messages.success(request, said(_("%(design)s %(code)s is handed over."), part))
            return redirect(part)
    context = acting(part) | {"claims": claims}
    return page(request, "products/parts/hand_over.html", context, form)


@allows("part.take-back")
def take_back(request, code):
    part = get_object_or_404(part_list(), code=code)
    form = TakeBackForm(request.POST or None)
    if form.is_valid():
        act, state = form.act(request.user), form.cleaned_data["state"]
        if attempt(form, take_back_part, part=part, act=act, state=state):
            messages.success(request, said(_("%(design)s %(code)s is back."), part))
            return redirect(part)
    return page(request, "products/parts/take_back.html", acting(part), form)


def acting(part: Part) -> dict:
    """Return the context of a page that does something with a part."""
    return part_row(part) | {"place": "products"}


def said(sentence: str, part: Part) -> str:
    """Return a sentence that names a part."""
    return sentence % {"design": part.design.name, "code": group_code(part.code)}
