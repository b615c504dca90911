"""Counting one bin: what the scale shows against the book, and the list of all counts."""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.actions.counts import count_bin
from inventory.forms.counts import CountFilter, CountForm, ReadingForm
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

READING = ("shown", "weighing", "scale")
SAID = {
    "agreed": gettext_lazy("%(bin)s agrees with the book: counted."),
    "less": gettext_lazy("%(mass)s booked out of %(bin)s. %(number)s."),
    "more": gettext_lazy("%(mass)s of unknown origin booked into %(bin)s. %(number)s."),
}


@reads
def index(request):
    columns = [
        Column(_("Bin"), "bin"),
        Column(_("When and who"), "counted"),
        Column(_("Book, scale"), numeric=True),
        Column(_("Difference"), numeric=True),
        Column(_("Outcome")),
    ]
    filters = CountFilter(request.GET, queryset=count_list())
    context = listing(request, filters, columns, place="bins")
    return page(request, "inventory/counts/index.html", context)


@allows("bin.count")
def count(request, code):
    bin = get_object_or_404(bins_with_mass(), code=code)
    stop = stop_asked(request, bin)
    return (accept if request.method == "POST" else compare)(request, bin, stop)


def compare(request, bin: Bin, stop: Stop | None):
    """Ask what the scale shows; with a reading in the address, hold it against the book."""
    is_read = "shown" in request.GET and "again" not in request.GET
    typed = {name: request.GET[name] for name in READING if name in request.GET}
    initial = {"scale": usual_scale(request.user)} | typed
    form = ReadingForm(request.GET if is_read else None, bin=bin, initial=initial)
    reading = form.reading()
    weighing = weigh_now(bin, reading) if reading else None
    shown = CountForm(bin=bin, initial=typed) if weighing else form
    return shown_page(request, (bin, stop), shown, weighing)


def accept(request, bin: Bin, stop: Stop | None):
    """Accept a reading that was held against the book."""
    form = CountForm(request.POST, bin=bin)
    reading = form.reading()
    weighing = weigh_now(bin, reading) if reading else None
    if form.is_valid() and form.accepts(weighing):
        facts = {"bin": bin, "reading": reading, "accepted": form.accepted(), "stop": stop}
        if done := attempt(form, count_bin, act=form.act(request.user), **facts):
            say(request, done)
            return redirect(after(request, bin, stop))
        weighing = weigh_now(bin, reading)
    return shown_page(request, (bin, stop), form, weighing)


def shown_page(request, where, form, weighing: Weighing | None):
    bin, stop = where
    typed = {name: form[name].value() for name in READING}
    if weighing:
        form.ask_why(weighing)
    context = {
        "place": "bins",
        "bin": bin,
        "card": bin_card(bin, fills_of([bin]).get(bin.pk)),
        "progress": progress_of(stop.round) if stop else None,
        "weighing": weighing,
        "typed": typed,
        "again": again_query(typed, stop),
        "last": last_count(bin),
        "like_last": last_contents(bin) if weighing else None,
    }
    return page(request, "inventory/counts/count.html", context, form)


def again_query(typed: dict, stop: Stop | None) -> str:
    """Return the query of the page on which the same reading is typed again."""
    wanted = typed | {"again": 1} | ({"round": stop.round_id} if stop else {})
    return urlencode({name: value for name, value in wanted.items() if value is not None})


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
