"""The start page: what is open, what is stopped, what needs a decision, what there is."""

from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.queries.lots import held_lots, lot_label, mass_by_polymer
from inventory.templatetags.quantities import mass
from inventory.views.access import granted, page, reads
from workshop.queries.home import MOST_ROWS, floor_lots, unknown_lots
from workshop.queries.runs import OpenRun, open_runs

WAITS = {"load": "planned", "make": "running", "weigh": "running", "close": "sealed"}


@reads
def index(request):
    runs = open_runs()
    holds = list(held_lots().select_related("lot__delivery")[: MOST_ROWS + 1])
    stock = mass_by_polymer()
    context = {
        "place": "none",
        "runs": [run_entry(each) for each in runs],
        "holds": [hold_line(hold) for hold in holds[:MOST_ROWS]],
        "more_holds": len(holds) > MOST_ROWS,
        "decisions": decisions(runs),
        "stock": stock,
        "stock_mg": sum(mass_mg for _symbol, mass_mg in stock),
        "may": granted(request.user),
    }
    return page(request, "workshop/home/index.html", context)


def run_entry(each: OpenRun) -> dict:
    """Return an open run as its card prints it."""
    words = {
        "load": _("load"),
        "make": _("make and weigh out"),
        "weigh": _("weigh out"),
        "close": _("close"),
    }
    return {
        "run": each.run,
        "left_mg": each.left_mg,
        "waits": words[each.stage],
        "pill": WAITS[each.stage],
    }


def decisions(runs: list[OpenRun]) -> list[dict]:
    """Return what somebody has to decide, each with where to do it."""
    found = [decision(lot_label(lot), _("nobody knows what it is"), lot) for lot in unknown_lots()]
    found += [gap_decision(each, balance) for each in runs for balance in each.gaps]
    found += [purge_decision(each) for each in runs if each.needs_purge]
    found += [decision(lot_label(lot), _("stands in no bin yet"), lot) for lot in floor_lots()]
    return found


def hold_line(hold) -> dict:
    """Return a hold as its line prints it."""
    held = " ".join([mass(hold.lot.held_mg), hold.lot.polymer.symbol if hold.lot.polymer else ""])
    return decision(lot_label(hold.lot), f"{held.strip()}: {hold.reason}", hold.lot)


def decision(what: str, why: str, thing) -> dict:
    """Return one line of what needs a decision."""
    return {"what": what, "why": why, "url": thing.get_absolute_url()}


def gap_decision(each: OpenRun, balance) -> dict:
    """Return the line of a charge that nothing more comes out of, with mass missing."""
    why = _("%(mass)s of charge %(number)s is not accounted for")
    facts = {"mass": mass(balance.gap_mg), "number": balance.charge.number}
    return decision(each.run.number, why % facts, each.run)


def purge_decision(each: OpenRun) -> dict:
    """Return the line of a machine that a run waits for to be purged."""
    machine = each.run.machine
    why = _("last worked %(last)s; purge it for %(run)s")
    facts = {"last": machine.last_polymer.symbol, "run": each.run.number}
    line = decision(machine.name, why % facts, machine)
    way = reverse("workshop:machine-purge", args=[machine.pk])
    return line | {"url": f"{way}?next={each.run.get_absolute_url()}"}
