"""What is said of time, energy and cost: labels and sentences in the reader's language."""

from fractions import Fraction

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.calculations.currencies import rounded
from inventory.queries.masses import localised
from inventory.queries.prices import money_said
from workshop.calculations.run_costs import Energy, Line, RunCost
from workshop.calculations.work_times import MINUTE_MS, WorkTime
from workshop.models import Step

NO_BREAK, NOTHING = "\N{NO-BREAK SPACE}", "\N{EN DASH}"
KINDS = {
    "material": gettext_lazy("Material"),
    "energy": gettext_lazy("Energy"),
    "labour": gettext_lazy("Labour"),
    "tooling": gettext_lazy("Tooling"),
    "machine": gettext_lazy("Machine"),
}
MISSING = {
    "material": gettext_lazy("no delivery in it has a price"),
    "energy": gettext_lazy("no meter and no rated power, or no price of a kilowatt-hour"),
    "labour": gettext_lazy("no rate per hour holds on that day"),
    "tooling": gettext_lazy("no price of the tooling, or no number of cycles it lasts"),
}
RESTS_ON = {
    "meter": gettext_lazy("metered"),
    "rated": gettext_lazy("estimate: rated power × share of load × hours worked"),
    "learned": gettext_lazy("by the median of metered runs of this design"),
    "": gettext_lazy("not known: read a meter, or set the rated power of the machine"),
}
WORKED_BY = {
    "taps": gettext_lazy("from the first tap to the last, without pauses"),
    "opened": gettext_lazy("from opening to closing, without pauses: too few taps"),
}
CHANGED_BY = {
    "paused": gettext_lazy("pauses for a change of tooling"),
    "register": gettext_lazy("minutes of the tooling register"),
    "": gettext_lazy("none"),
}


def number_said(value: Fraction | None, digits: int, unit: str) -> str:
    """Return a number rounded half to even with its unit; a dash when it is not known."""
    if value is None:
        return NOTHING
    return localised(f"{rounded(value, digits):f}", unit).strip().replace(" ", NO_BREAK)


def minutes_said(ms: int) -> str:
    """Return a time in minutes, to a tenth."""
    return number_said(Fraction(ms, MINUTE_MS), 1, "min")


def energy_said(energy: Energy) -> str:
    """Return energy in kWh: an estimate with fewer digits than a meter shows."""
    return number_said(energy.kwh, 3 if energy.basis == "meter" else 2, "kWh")


def energy_basis(energy: Energy) -> str:
    """Return what an energy rests on, and that the share of load is the usual one where it is."""
    said = str(RESTS_ON[energy.basis])
    return f"{said} ({_('usual share of load, a judgement')})" if energy.is_usual_load else said


def line_said(line: Line, currency: str) -> dict:
    """Return a line of the cost as it is printed."""
    why = MISSING.get(line.kind, "") if line.amount is None else ""
    amount = money_said(line.amount, currency, is_least=line.is_least)
    return {"kind": line.kind, "label": KINDS[line.kind], "amount": amount, "why": why}


def sums_said(cost: RunCost) -> list[tuple[str, str]]:
    """Return the sum of a cost, and what it is for each piece and each good kilogram."""
    if not cost.is_known:
        return [(_("Sum"), _("not known"))]
    rows = [(_("Sum"), cost.total), (_("For each piece"), cost.per_piece)]
    rows.append((_("For each good kilogram"), cost.per_kg))
    return [
        (label, money_said(amount, cost.currency, is_least=cost.is_least))
        for label, amount in rows
        if amount is not None
    ]


def time_rows(time: WorkTime) -> list[tuple[str, int]]:
    """Return the time by step, the longest first, then what is in no step, then the changeover, in ms."""
    rows = [(capfirst(Step.Name(name).label), ms) for name, ms in time.steps]
    if time.other_ms:
        rows.append((_("In no step") if rows else _("Worked"), time.other_ms))
    if time.changeover_ms:
        rows.append((_("Changeover"), time.changeover_ms))
    return rows
