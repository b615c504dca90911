"""Visits: started, watched, settled, abandoned."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.forms.fields import ReasonForm
from inventory.queries.bins import bin_offers
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import paged
from workshop.actions.visits import abandon_visit, settle_visit, start_visit
from workshop.calculations.cycles import clock_text
from workshop.forms.moments import TapForm
from workshop.forms.visits import DrawnForm, LabelForm, PieceForm, SettleForm, VisitForm
from workshop.models import Visit
from workshop.queries.visits import offers_of, pieces_by_lot, progress_of, side_bin, visit_list
from workshop.views.cautions import caution_for
from workshop.views.scales import remember_scale, unit_last, usual_scale

SHOWN = 6
SIDES = ("offcut", "purging")


@reads
def index(request):
    visits = visit_list()
    context = {"place": "runs", "open_visits": visits.open(), "can": granted(request.user)}
    context["page"] = paged(request, visits.exclude(ended_at=None))
    return page(request, "workshop/visits/index.html", context)


@allows("visit.start")
def start(request):
    form = VisitForm(request.POST or None)
    if form.is_valid():
        chosen = {name: form.cleaned_data[name] for name in ("design", "machine")}
        if visit := attempt(form, start_visit, act=form.act(request.user), **chosen):
            return redirect(visit)
    return page(request, "workshop/visits/start.html", {"place": "runs"}, form)


def visit_at(pk: int) -> Visit:
    """Return a visit with what its pages print, or answer 404."""
    return get_object_or_404(visit_list(), pk=pk)


@reads
def detail(request, pk):
    return page(request, "workshop/visits/detail.html", whole_page(request, visit_at(pk)))


def whole_page(request, visit: Visit) -> dict:
    """Return all that the page of a visit prints."""
    live = live_part(request, visit)
    return {"place": "runs", "visit": visit, "live": live, "caution": caution_for(visit.machine)}


def live_part(request, visit: Visit) -> dict:
    """Return what changes with every tap: the piece that runs, the count, the swatches."""
    progress = progress_of(visit, timezone.now())
    may_make = granted(request.user)["visit_make"] and not visit.ended_at
    last = progress.made[-1] if progress.made else None
    return {
        "visit": visit,
        "progress": progress,
        "may_make": may_make,
        "clock": clock_text(progress.running_s),
        "median": clock_text(progress.times.median_s) if progress.times else "–",
        "offers": offers_of(visit) if may_make and not progress.running else [],
        "before": pieces_before(visit, progress.made),
        "last": last,
        "last_number": len(progress.made),
        "label_form": LabelForm(),
        "start": PieceForm(auto_id="start-%s"),
        "end": TapForm(auto_id="end-%s"),
        "undo": TapForm(auto_id="undo-%s"),
    }


def pieces_before(visit: Visit, made: list) -> list:
    """Return the pieces below the newest, the last first; all of them once the visit is over."""
    newest_first = list(reversed(made))
    return newest_first if visit.ended_at else newest_first[1 : SHOWN + 1]


def answered(request, visit: Visit, form, done):
    """Answer a tap: by the part of the page that it changed, or without script by the page."""
    if done and not request.htmx:
        return redirect(visit)
    context = whole_page(request, visit_at(visit.pk)) | {"tap_form": form}
    if not request.htmx:
        return page(request, "workshop/visits/detail.html", context, form)
    status = 422 if form.errors else 200
    response = render(request, "workshop/visits/_live.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


@allows("visit.settle")
def settle(request, pk):
    visit = visit_at(pk)
    sent = request.POST if request.method == "POST" else None  # an empty one is refused as well
    if visit.ended_at and sent is None:
        return redirect(visit)
    form = SettleForm(sent)
    groups = pieces_by_lot(visit)
    usual = {"scale": usual_scale(request), "unit": unit_last(request)}
    bins = [(drawn_form(sent, lot, usual), len(made)) for lot, made in groups.items()]
    if form.is_valid() and all([each.is_valid() for each, _count in bins]):
        drawn = tuple(each.drawn() for each, _count in bins)
        act = form.act(request.user)
        if attempt(form, settle_visit, visit=visit, drawn=drawn, act=act):
            for each, _count in bins:
                remember_scale(request, each)
            sentence = _("%(number)s is settled; every piece is a part with its passport now.")
            messages.success(request, sentence % {"number": visit.number})
            return redirect(visit)
    elif form.is_bound:
        form.add_error(None, _("Nothing was settled yet. Mend the marked fields and send again."))
    context = {"place": "runs", "visit": visit, "bins": bins, "cards": bin_offers(None).others}
    return page(request, "workshop/visits/settle.html", context, form)


def drawn_form(sent, lot, usual: dict) -> DrawnForm:
    """Return the form of a bin that was used, with where its offcuts and purging go."""
    suggested = {kind: bin for kind in SIDES if (bin := side_bin(lot, kind))}
    return DrawnForm(sent, lot=lot, suggested=suggested, usual=usual)


@allows("visit.abandon")
def abandon(request, pk):
    visit = visit_at(pk)
    if visit.ended_at and request.method != "POST":
        return redirect(visit)
    form = ReasonForm(request.POST or None)
    if form.is_valid() and attempt(form, abandon_visit, visit=visit, act=form.act(request.user)):
        return redirect(visit)
    return page(request, "workshop/visits/abandon.html", {"place": "runs", "visit": visit}, form)
