"""Rounds: started, walked, shared, finished, and their summary."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.rounds import finish_round, skip_bin, start_round
from inventory.calculations.spreadsheets import line_writer
from inventory.forms.rounds import SKIP_REASONS, FinishForm, GoToForm, RoundForm, SkipForm
from inventory.models import Bin, Round
from inventory.queries.rounds import progress_of, round_list, stop_of, summary_rows
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.counts import count_address, next_address
from inventory.views.listings import paged


@reads
def index(request):
    rounds = round_list()
    context = {
        "place": "bins",
        "open_rounds": rounds.open(),
        "page": paged(request, rounds.exclude(finished_at=None)),
        "can": granted(request.user),
    }
    return page(request, "inventory/rounds/index.html", context)


@allows("round.start")
def start(request):
    form = RoundForm(request.POST or None)
    if form.is_valid():
        walk = attempt(form, start_round, plan=form.plan(), act=form.act(request.user))
        if walk:
            return redirect(walk)
    context = {"place": "bins", "open_rounds": round_list().open()}
    return page(request, "inventory/rounds/start.html", context, form)


@reads
def detail(request, pk):
    walk = get_object_or_404(Round.objects.select_related("started_by", "finished_by"), pk=pk)
    form = GoToForm(request.GET if "bin" in request.GET else None)
    if form.is_valid():
        if stop_of(walk, form.cleaned_data["bin"]):
            return redirect(count_address(form.cleaned_data["bin"], walk))
        form.add_error("bin", _("This bin is not on the route; count it by itself, from its page."))
    progress = progress_of(walk)
    context = {
        "place": "bins",
        "walk": walk,
        "progress": progress,
        "next": progress.next_for(request.user),
        "can": granted(request.user),
    }
    return page(request, "inventory/rounds/detail.html", context, form)


@reads
def summary(request, pk):
    walk = get_object_or_404(Round, pk=pk)
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="round-{walk.number}.csv"'
    write = line_writer(answer)
    for line in summary_rows(progress_of(walk)):
        write(line)
    return answer


@allows("round.skip")
def skip(request, pk, code):
    walk, bin = get_object_or_404(Round, pk=pk), get_object_or_404(Bin, code=code)
    form = SkipForm(request.POST or None)
    act = form.act(request.user) if form.is_valid() else None
    if act and attempt(form, skip_bin, walk=walk, bin=bin, act=act):
        messages.success(request, _("%(bin)s was skipped.") % {"bin": bin})
        return redirect(next_address(progress_of(walk), request.user))
    context = {"place": "bins", "walk": walk, "bin": bin, "causes": SKIP_REASONS.items()}
    return page(request, "inventory/rounds/skip.html", context, form)


@allows("round.finish")
def finish(request, pk):
    walk = get_object_or_404(Round, pk=pk)
    form = FinishForm(request.POST or None)
    if form.is_valid() and attempt(form, finish_round, walk=walk, act=form.act(request.user)):
        messages.success(request, _("Round %(number)s is finished.") % {"number": walk.number})
        return redirect(walk)
    context = {"place": "bins", "walk": walk, "progress": progress_of(walk)}
    return page(request, "inventory/rounds/finish.html", context, form)
