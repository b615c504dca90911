"""How the figures of a plan are written: masses, counts, times, energy and money, each with its difference."""

from django.template.defaultfilters import capfirst

from inventory.queries.durations import duration_said
from inventory.queries.masses import bulk_said, mass_said
from inventory.queries.prices import money_said
from inventory.templatetags.quantities import percent, percent_to
from workshop.calculations.plan_fits import DOUBT, MOULD_MPA, SHEET_MPA, SLACK
from workshop.calculations.plans import Comparison, Times
from workshop.models import Step
from workshop.queries.cost_words import number_said
from workshop.queries.expectations import COARSE, FINE, READ_MG

UNKNOWN = "–"
MINUS = "\N{MINUS SIGN}"


def step_times(times: Times | None) -> list[tuple[str, str]]:
    """Return the steps of a cycle with their times, the slowest first."""
    steps = times.steps if times else ()
    return [(capfirst(Step.Name(name).label), duration_said(seconds)) for name, seconds in steps]


def row_shown(row: Comparison) -> dict:
    """Return one line of a plan against what was done; a difference that is written as nought has no sign."""
    apart, share = row.difference, row.difference_share
    if apart is not None and not any(
        digit in written(abs(apart), row.unit) for digit in "123456789"
    ):
        apart, share = 0, None
    return {
        "code": row.code,
        "label": capfirst(row.label),
        "planned": written(row.planned, row.unit),
        "actual": written(row.actual, row.unit),
        "difference": signed(apart, row.unit),
        "share": "" if not share else share_said(share),
    }


def written(value: float | None, unit: str) -> str:
    """Return a figure with its unit."""
    if value is None:
        return UNKNOWN
    if unit == "mg":
        return bulk_said(round(value)) if value else mass_said(0)
    if unit == "s":
        return duration_said(value)
    if unit == "kWh":
        return number_said(value, 2, unit)
    return money_said(value, unit) if unit else str(round(value))


def share_said(share: float) -> str:
    """Return a share with its sign; one too small to be written has none, and one of nearly all is all."""
    text = percent(abs(share))
    return text if text.startswith("<") else signed_text(percent_to(abs(share), 1), share)


def signed(value: float | None, unit: str) -> str:
    """Return a difference with its sign; none at all is a nought."""
    if value is None:
        return UNKNOWN
    return signed_text(written(abs(value), unit), value)


def signed_text(text: str, value: float) -> str:
    """Return a text with the sign of a value before it."""
    return f"{'+' if value > 0 else MINUS if value < 0 else ''}{text}"


def fit_limits() -> dict[str, str]:
    """Return the allowances of the verdict on fitting as they are written; the pressures in MPa."""
    return {
        "spare": percent_to(SLACK - 1, 0),
        "doubt": percent_to(DOUBT - 1, 0),
        "sheet": str(SHEET_MPA),
        "mould": str(MOULD_MPA),
    }


def load_limits() -> dict[str, str]:
    """Return from when on what is planned counts as loaded, as it is written."""
    shares = {"fine": percent_to(1 / FINE, 0), "coarse": percent(1 / COARSE)}
    return {"mass": mass_said(READ_MG)} | shares
