"""Pages of machines."""

from urllib.parse import urlencode

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.templatetags.quantities import mass
from inventory.views.access import allows, attempt, granted, page, reads
from workshop.actions.machines import log_purge, save_machine
from workshop.calculations.catalogue import BY_NAME
from workshop.calculations.plan_fits import MM3_PER_CM3
from workshop.forms.machines import MachineForm, PurgeForm, values_of_machine
from workshop.models import Machine
from workshop.queries.machines import machine_list
from workshop.queries.purges import runs_inside
from workshop.queries.runs import run_list
from workshop.views.cautions import caution_for
from workshop.views.turns import where_to

LATEST = 10


@reads
def index(request):
    context = {"place": "none", "machines": machine_list(), "may": granted(request.user)}
    return page(request, "workshop/machines/index.html", context)


@reads
def detail(request, pk):
    machine = get_object_or_404(machine_list(), pk=pk)
    purges = machine.purges.select_related("by", "polymer")[:LATEST]
    context = {
        "place": "none",
        "machine": machine,
        "query": f"?machine={machine.pk}",
        "purges": [purge_entry(purge) for purge in purges],
        "runs": run_list().filter(machine=machine)[:LATEST],
        "caution": caution_for(machine),
        "desk": desk_of(machine),
        "may": granted(request.user),
    }
    return page(request, "workshop/machines/detail.html", context)


def desk_of(machine) -> list[dict]:
    """Return the calculators that its volumes and its last polymer are filled into."""
    found = []
    polymer = {"polymer": machine.last_polymer.symbol} if machine.last_polymer else {}
    for name, box, mm3 in (
        ("shot-capacity", "machine_cm3", machine.shot_mm3),
        ("residence", "barrel_cm3", machine.barrel_mm3),
    ):
        if mm3 is not None:
            filled = urlencode(polymer | {box: f"{mm3 / MM3_PER_CM3:g}"})
            href = f"{reverse('workshop:calculator-detail', args=[name])}?{filled}"
            found.append({"label": _(BY_NAME[name].title), "href": href})
    return found


def purge_entry(purge) -> dict:
    """Return a purge as an entry of a timeline."""
    of = _("Purged of %(symbol)s") % {"symbol": purge.polymer.symbol} if purge.polymer else ""
    return {
        "what": of or _("Cleaned out"),
        "happened_at": purge.happened_at,
        "note": purge.note,
        "who": purge.by.get_username(),
    }


@allows("machine.edit")
def create(request):
    return written(request, None, MachineForm(request.POST or None))


@allows("machine.edit")
def edit(request, pk):
    machine = get_object_or_404(Machine, pk=pk)
    first = values_of_machine(machine)
    has_runs = machine.runs.exists()
    form = MachineForm(request.POST or None, initial=first, has_runs=has_runs)
    return written(request, machine, form)


def written(request, machine: Machine | None, form: MachineForm):
    """Show the form of a machine, and write the machine when it was sent."""
    if form.is_valid():
        fields, act = form.fields_of_machine(), form.act(request.user)
        saved = attempt(form, save_machine, fields=fields, act=act, machine=machine)
        if saved:
            messages.success(request, _("%(name)s is written down.") % {"name": saved.name})
            return redirect(saved)
    title = _("Change %(name)s") % {"name": machine.name} if machine else _("New machine")
    return page(request, "workshop/machines/edit.html", {"place": "none", "title": title}, form)


@allows("machine.purge")
def purge(request, pk):
    machine = get_object_or_404(machine_list(), pk=pk)
    form = PurgeForm(request.POST or None)
    if form.is_valid() and attempt(form, log_purge, machine=machine, act=form.act(request.user)):
        tell_purged(request, machine)
        return redirect(where_to(request, otherwise=machine.get_absolute_url()))
    context = {"place": "none", "machine": machine, "caution": caution_for(machine)}
    context["inside"] = runs_inside(machine)
    return page(request, "workshop/machines/purge.html", context, form)


def tell_purged(request, machine: Machine) -> None:
    """Say that a machine was purged, and what the book says is still inside."""
    facts = {"name": machine.name}
    inside = runs_inside(machine)
    if not inside:
        sentence = _("The purge of %(name)s is written down; it is free for any polymer.")
        messages.success(request, sentence % facts)
        return
    messages.success(request, _("The purge of %(name)s is written down.") % facts)
    for run in inside:
        sentence = _(
            "%(run)s is open and has %(mass)s in %(name)s by the book; weigh out what came out."
        )
        facts |= {"run": run.number, "mass": mass(run.left_mg)}
        messages.warning(request, sentence % facts)
