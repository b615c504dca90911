"""What the make page says: times, statistics, windows and what happened, in words."""

from decimal import Decimal

from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from products.models.windows import number_in_words, window_in_words
from workshop.calculations.cycles import CycleStatistics, Spread, StepTime, clock_text
from workshop.models import Cycle, Pause, Reading, Step
from workshop.models.moments import Moment
from workshop.queries.readings import Gauge
from workshop.views.cautions import sheet_link

NO_BREAK = "\N{NO-BREAK SPACE}"
NOTHING = "\N{EN DASH}"
LONG_S, HOUR_S = 120, 3600
SLOW_PACE = 10
PLACES = {
    "in": gettext_lazy("in the window"),
    "above": gettext_lazy("above the window"),
    "below": gettext_lazy("below the window"),
    "": "",
}


def number(value, places: int) -> str:
    """Return a number as the reader writes it, with so many decimals."""
    return number_format(Decimal(value), decimal_pos=places, force_grouping=True)


def time_text(seconds: float) -> str:
    """Return a time: seconds with one decimal, or a clock's minutes and hours when it is long."""
    if seconds < LONG_S:
        return f"{number(seconds, 1)}{NO_BREAK}s"
    unit = "h" if seconds >= HOUR_S else "min"
    return f"{clock_text(round(seconds))}{NO_BREAK}{unit}"


def figures_of(found: CycleStatistics) -> list[dict]:
    """Return the statistics of a run as figures: label, value and note of each."""
    return [median_figure(found.times), pace_figure(found), slowest_figure(found.slowest)]


def median_figure(times: Spread | None) -> dict:
    """Return the cycle time: its median, with n and where the middle half lies."""
    label = _("Cycle time, median")
    if times is None:
        return {"label": label, "value": NOTHING, "note": _("two cycles give the first time")}
    note = _("n = %(n)s") % {"n": times.n}
    if times.low_s is not None:
        note += "; " + _("half lie within %(times)s") % {"times": half_text(times)}
    return {"label": label, "value": time_text(times.median_s), "note": note}


def pace_figure(found: CycleStatistics) -> dict:
    """Return the pieces made in an hour of work."""
    pace = found.pieces_per_hour
    value = NOTHING if pace is None else number(pace, 0 if pace >= SLOW_PACE else 1)
    return {"label": _("Pieces an hour"), "value": value, "note": _("of time worked, pauses out")}


def slowest_figure(step: StepTime | None) -> dict:
    """Return the slowest step."""
    label = _("Slowest step")
    if step is None:
        return {"label": label, "value": NOTHING, "note": _("no step was timed yet")}
    facts = {"time": time_text(step.times.median_s), "n": step.times.n}
    value = capfirst(Step.Name(step.name).label)
    return {"label": label, "value": value, "note": _("median %(time)s, n = %(n)s") % facts}


def step_rows(found: CycleStatistics) -> list[dict]:
    """Return the times of each step as rows of a table, the slowest first."""
    return [
        {
            "label": capfirst(Step.Name(step.name).label),
            "median": time_text(step.times.median_s),
            "half": half_text(step.times),
            "n": step.times.n,
        }
        for step in found.steps
    ]


def half_text(times: Spread) -> str:
    """Return between which times the middle half lies, when there are enough."""
    if times.low_s is None:
        return NOTHING
    facts = {"low": time_text(times.low_s), "high": time_text(times.high_s)}
    return _("%(low)s and %(high)s") % facts


def few_note(times: Spread | None) -> str:
    """Return a sentence while the times are few."""
    if times is None or not times.is_few:
        return ""
    return ngettext(
        "Only %(n)s time so far: the figures may still move a lot.",
        "Only %(n)s times so far: the figures may still move a lot.",
        times.n,
    ) % {"n": times.n}


def reading_text(reading: Reading) -> str:
    """Return what was read, with its unit."""
    return f"{number_in_words(reading.value)}{NO_BREAK}{reading.unit}"


def fume_text(reading: Reading) -> str:
    """Return the short word that stands beside a reading above the fume ceiling."""
    if not reading.is_above_fume:
        return ""
    return _("Stop: above the fume ceiling of %(c)s °C") % {"c": reading.fume_above_c}


def fume_caution(gauge: Gauge) -> dict | None:
    """Return the caution that a last reading above the fume ceiling calls for.

    It says so where the ceiling is the workshop's own, and still the one that the reading met.
    """
    reading = gauge.last
    if reading is None or not reading.is_above_fume:
        return None
    is_own = gauge.fume_source and gauge.fume_above_c == reading.fume_above_c
    facts = {
        "quantity": reading.get_quantity_display(),
        "value": reading_text(reading),
        "ceiling": reading.fume_above_c,
        "own": f" ({gauge.fume_source})" if is_own else "",
        "polymer": reading.polymer,
    }
    text = _(
        "Stop: the %(quantity)s is %(value)s. Above %(ceiling)s °C%(own)s %(polymer)s gives off fumes."
        " Turn the heat down, keep out of the fumes and air the room."
    )
    rules = _("Follow the data sheet, the machine's manual and the rules of your place.")
    return {
        "text": text % facts,
        "more": f"{reading.polymer.hazard} {rules}",
    } | sheet_link(reading.polymer)


def entry_of(row: Moment) -> dict:
    """Return one thing that happened as an entry of a timeline."""
    what, note, state = WORDS[type(row)](row)
    who = row.by.get_username()
    return {"what": what, "happened_at": row.happened_at, "who": who, "note": note, "state": state}


def cycle_words(row: Cycle) -> tuple:
    """Return what is said of a tap or of its undoing."""
    if row.undoes_id:
        return _("One cycle taken back"), "", ""
    pieces = ngettext("%(n)s piece", "%(n)s pieces", row.pieces) % {"n": row.pieces}
    return _("One cycle"), pieces, "reversed" if hasattr(row, "undone_by") else ""


def step_words(row: Step) -> tuple:
    """Return what is said of a step."""
    return (capfirst(row.get_name_display()), "", "") if row.name else (_("Step stopped"), "", "")


def pause_words(row: Pause) -> tuple:
    """Return what is said of a pause or its end."""
    return (_("Resumed"), "", "") if row.ends_id else (_("Paused"), row.why, "")


def reading_words(row: Reading) -> tuple:
    """Return what is said of a reading: its value, its window, and whether it lay in it."""
    what = f"{capfirst(row.get_quantity_display())} {reading_text(row)}"
    place = str(PLACES[row.place])
    window = window_in_words(row.low, row.high, row.unit)
    notes = [f"{place} ({window})" if place else ""]
    notes += [_("above the fume ceiling of %(c)s °C") % {"c": row.fume_above_c}] * row.is_above_fume
    return what, "; ".join(note for note in notes if note), ""


WORDS = {Cycle: cycle_words, Step: step_words, Pause: pause_words, Reading: reading_words}
