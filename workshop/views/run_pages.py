"""What the page of one run prints, put together from its balances."""

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from inventory.templatetags.quantities import mass
from products.calculations.ranges import shot_time_note
from products.forms.ranges import sentence_of
from products.models import Operation
from products.queries.parts import part_list
from products.views.parts import part_row
from workshop.models import Run, Yield
from workshop.queries.accounts import account_of, source_label, undone_entries
from workshop.queries.expectations import experience_of, filling_of
from workshop.queries.plan_fits import tooling_says
from workshop.queries.planned_sheets import sheets_to_cut
from workshop.queries.readings import polymer_of
from workshop.queries.runs import ChargeBalance, balances, needs_purge, stage_of
from workshop.views.cautions import caution_for, sheet_caution
from workshop.views.stages import stage_urls

MOST_PARTS = 50


def run_page(run: Run, found: list[ChargeBalance], may: dict[str, bool]) -> dict:
    """Return the context of a run's page."""
    waiting = [each for each in found if not each.is_closed]
    current = waiting[-1] if waiting else None
    account = account_of(found)
    stage = stage_of(run, found)
    return {
        "place": "runs",
        "run": run,
        "may": may,
        "stage": stage,
        "stages": stage_urls(run, may, is_loaded=bool(current)),
        "filling": filling_of(run, found, experience_of(run)) if stage == "load" else None,
        "current": current,
        "about": pieces_left(run, current),
        "gaps": [gap_card(each) for each in waiting] if stage == "close" else [],
        "charges": [charge_entry(run, each) for each in reversed(found)],
        "account": account,
        "facts": facts_of(run),
        "to_cut": sheets_to_cut(run) if run.operation == Operation.CUT else [],
        "sheet_url": sheet_url(run, current),
        "tooling_says": [] if run.closed_at else tooling_says(run.tooling, run.design, localdate()),
        "note": pace_note(run, account.pieces),
        "parts": parts_made(found),
        "undone": undone_lines(run),
        "needs_purge": not run.closed_at and needs_purge(run),
        "caution": caution_for(run.machine),
        "sheet_caution": None if run.closed_at else material_caution(run, current),
    }


def sheet_url(run: Run, current: ChargeBalance | None) -> str:
    """Return the address of the process sheet of a run's design on its machine, empty without a design."""
    if run.design_id is None:
        return ""
    query = {"machine": run.machine_id}
    if current and current.charge.lot.polymer_id:
        query["polymer"] = current.charge.lot.polymer_id
    return f"{reverse('workshop:process-sheet', args=[run.design_id])}?{urlencode(query)}"


def material_caution(run: Run, current: ChargeBalance | None) -> dict | None:
    """Return the caution of the polymer in the machine, or of the only one that the design takes."""
    polymer = current.charge.lot.polymer if current else polymer_of(run)
    return sheet_caution(run.machine, polymer)


def pieces_left(run: Run, balance: ChargeBalance | None) -> int:
    """Return for about how many pieces a charge is still enough; 0 without a design."""
    return balance.left_mg // run.design.nominal_mass_mg if balance and run.design else 0


def gap_card(balance: ChargeBalance) -> dict:
    """Return a charge that is to be closed with its gap in plain words."""
    return {"balance": balance, "size_mg": abs(balance.gap_mg), "sentence": gap_sentence(balance)}


def gap_sentence(balance: ChargeBalance) -> str:
    """Return in a sentence what of a charge is missing and how much of that the scales explain."""
    facts = {"mass": mass(abs(balance.gap_mg)), "explained": mass(balance.quoted_mg)}
    if not balance.yields:
        return _("Nothing was weighed out of it: weigh out what it became, or abandon the run.")
    if not balance.gap_mg:
        return _("All that went in came out.")
    if balance.gap_mg < 0:
        sentence = _(
            "%(mass)s more came out than went in; the scales explain up to ± %(explained)s."
        )
    elif balance.is_within:
        sentence = _("%(mass)s is missing; the scales explain up to ± %(explained)s.")
    elif balance.quoted_mg:
        sentence = _("%(mass)s is missing, and the scales explain only up to ± %(explained)s.")
    else:
        sentence = _("%(mass)s is missing, and no scale was named that could explain any of it.")
    return sentence % facts


def charge_entry(run: Run, balance: ChargeBalance) -> dict:
    """Return a charge with its strip in loading order and its lists."""
    return {
        "balance": balance,
        "number": balance.charge.number,
        "lot": balance.charge.lot,
        "about": pieces_left(run, balance),
        "segments": layers(balance),
        "entries": entries_of(balance),
    }


def entries_of(balance: ChargeBalance) -> list[dict]:
    """Return the loads and then the yields of a charge, each as its line prints it."""
    loads = [entry(load, _("loaded"), source_label(load), load.source) for load in balance.loads]
    return loads + [
        entry(made, made.get_kind_display(), *place_of(made)) for made in balance.yields
    ]


def entry(row, what: str, where: str, place) -> dict:
    """Return one line of a charge."""
    return {"row": row, "what": what, "where": where, "place": place, "posting": row.posting}


def place_of(made: Yield) -> tuple:
    """Return where a yield went, in words and as the thing to look at."""
    if made.is_coded:
        return "", None
    return (made.bin.name, made.bin) if made.bin else (_("thrown away"), None)


def layers(balance: ChargeBalance) -> list[dict]:
    """Return the loads as segments of a strip, in the order in which they were loaded."""
    return [
        {
            "label": f"{source_label(load)}, {load.source.colour}",
            "share": load.mass_mg / balance.in_mg,
            "mass_mg": load.mass_mg,
            "srgb": load.source.colour.srgb,
        }
        for load in balance.loads
    ]


def facts_of(run: Run) -> list[tuple]:
    """Return how a run was set up; what its operation does not need is left out."""
    design, machine = run.design, run.machine
    facts = [
        (_("Operation"), run.get_operation_display()),
        (_("Machine"), machine.name, machine.get_absolute_url()),
        (_("Design"), design.name, design.get_absolute_url()) if design else None,
        (_("Tooling"), run.tooling.name) if run.tooling else None,
        (_("Pieces planned"), run.planned_pieces) if run.planned_pieces else None,
        (_("Settings"), run.settings_note) if run.settings_note else None,
        (_("Operator"), run.operator.get_username()),
        (_("Note"), run.note) if run.note else None,
        (_("Why abandoned"), run.abandon_reason) if run.is_abandoned else None,
    ]
    return [fact for fact in facts if fact]


def pace_note(run: Run, pieces: int) -> str:
    """Return a sentence when a closed injection run took unusually little or much time for a shot."""
    if run.operation != Operation.INJECT or not run.closed_at or not pieces:
        return ""
    minutes = (run.closed_at - run.opened_at).total_seconds() / 60
    note = shot_time_note(
        minutes=minutes, pieces=pieces, pieces_per_cycle=run.design.pieces_per_cycle
    )
    return sentence_of(note) if note else ""


def parts_made(found: list[ChargeBalance]) -> dict:
    """Return the parts that a run made, the newest first, and how many are left out."""
    postings = [each.posting_id for balance in found for each in balance.yields if each.pieces]
    parts = part_list().filter(made_in__in=postings, bag=None)
    rows = [part_row(part) for part in parts[: MOST_PARTS + 1]] if postings else []
    return {"rows": rows[:MOST_PARTS], "has_more": len(rows) > MOST_PARTS}


def undone_lines(run: Run) -> list[dict]:
    """Return reversed loads and yields as entries of a timeline."""
    words = {"load": _("Loaded"), "yield": _("Weighed out")}
    return [
        {
            "what": words[name],
            "happened_at": row.posting.happened_at,
            "mass_mg": row.mass_mg,
            "url": row.posting.get_absolute_url(),
            "who": row.posting.by.get_username(),
            "state": "reversed",
        }
        for name, row in undone_entries(run)
    ]


def closing_message(run: Run) -> str:
    """Return what closing a run booked, in a sentence."""
    lines = {line.label: line.mass_mg for line in account_of(balances(run)).outs}
    booked = [
        f"{label} {mass(lines[label])}"
        for label in (_("weighing difference"), _("loss"))
        if label in lines
    ]
    if not booked:
        return _("%(run)s is closed; nothing is missing.") % {"run": run.number}
    facts = {"run": run.number, "booked": ", ".join(booked)}
    return _("%(run)s is closed; booked: %(booked)s.") % facts
