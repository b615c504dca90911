"""Counting one bin: what the scale shows against the book, and the list of all counts."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.actions.counts import count_bin
from inventory.forms.counts import CountFilter, CountForm
from inventory.models import Bin, Count, Round, Stop
from inventory.queries.bins import bin_card, bins_with_mass, fills_of
from inventory.queries.counts import (
    Weighing,
    count_list,
    last_contents,
    last_count,
    usual_scale,
    weigh_now,
)
from inventory.queries.postings import LONGEST_NUMBER
from inventory.queries.rounds import Progress, progress_of, stop_of
from inventory.templatetags.quantities import exact_mass
from inventory.views.access import allows, attempt, page, reads
from inventory.views.listings import Column, listing

SAID = {
    "agreed": gettext_lazy("%(bin)s agrees with the book: counted."),
    "less": gettext_lazy("%(mass)s booked out of %(bin)s. %(number)s."),
    "more": gettext_lazy("%(mass)s of unknown origin booked into %(bin)s. %(number)s."),
}


@reads
def index(request):
    columns = [
        Column(_("Bin"), "bin"),
        Column(_("When"), "counted"),
        Column(_("Book, kg"), numeric=True),
        Column(_("Scale, kg"), numeric=True),
        Column(_("Difference, kg"), numeric=True),
        Column(_("Outcome")),
        Column(_("Who")),
    ]
    filters = CountFilter(request.GET, queryset=count_list())
    context = listing(request, filters, columns, place="none")
    return page(request, "inventory/counts/index.html", context)


@allows("bin.count")
def count(request, code):
    bin = get_object_or_404(bins_with_mass(), code=code)
    stop = stop_asked(request, bin)
    initial = {"scale": usual_scale(request.user)}
    form = CountForm(request.POST or None, bin=bin, initial=initial)
    weighing = weigh_now(bin, form.reading()) if form.is_valid() else None
    if weighing and form.accepts(weighing):
        act, reading = form.act(request.user), form.reading()
        facts = {"bin": bin, "reading": reading, "accepted": form.accepted(), "stop": stop}
        if done := attempt(form, count_bin, act=act, **facts):
            say(request, done)
            return redirect(after(request, bin, stop))
        weighing = weigh_now(bin, reading)
    context = context_of(bin, stop, form, weighing)
    return page(request, "inventory/counts/count.html", context, form)


def context_of(bin: Bin, stop: Stop | None, form: CountForm, weighing: Weighing | None) -> dict:
    if weighing:
        form.ask_why(weighing)
    return {
        "place": "bins",
        "bin": bin,
        "card": bin_card(bin, fills_of([bin]).get(bin.pk)),
        "progress": progress_of(stop.round) if stop else None,
        "weighing": weighing,
        "last": last_count(bin),
        "like_last": last_contents(bin) if weighing else None,
    }


def stop_asked(request, bin: Bin) -> Stop | None:
    """Return the stop that the address asks to count for, if it names a round."""
    number = request.GET.get("round", "")
    if not number:
        return None
    is_key = number.isascii() and number.isdecimal() and len(number) <= LONGEST_NUMBER
    walk = Round.objects.filter(pk=int(number)).first() if is_key else None
    if walk is None or (stop := stop_of(walk, bin)) is None:
        raise Http404(_("This bin is not on that round."))
    return stop


def say(request, done: Count) -> None:
    verdict = "agreed" if not done.posting else ("more" if done.difference_mg > 0 else "less")
    facts = {"bin": done.bin, "mass": exact_mass(abs(done.difference_mg))}
    number = done.posting.number if done.posting else ""
    messages.success(request, SAID[verdict] % (facts | {"number": number}))


def after(request, bin: Bin, stop: Stop | None) -> str:
    """Return where to go next: the bin's page, or on along the round."""
    return next_address(progress_of(stop.round), request.user) if stop else bin.get_absolute_url()


def next_address(progress: Progress, user) -> str:
    """Return the page of the next bin to count, or of the round when nothing is left."""
    row = progress.next_for(user)
    if row is None:
        return progress.round.get_absolute_url()
    return count_address(row.bin, progress.round)


def count_address(bin: Bin, walk: Round) -> str:
    return f"{reverse('inventory:bin-count', args=[bin.code])}?round={walk.pk}"
