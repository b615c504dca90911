"""What has to be changed on a machine before a planned run: its tooling, and the material in it.

Only what differs from the run before counts. Minutes of a change of tooling are those of the register;
of a change of material the median of what earlier runs on the machine paused for cleaning.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

from django.utils.translation import gettext as _

from inventory.models import Colour, Polymer
from workshop.calculations.operations import RETAINING
from workshop.calculations.plans import FEWEST_RUNS
from workshop.calculations.work_times import PAUSED, REGISTER
from workshop.models import Charge, Machine, Pause, Run, Tooling
from workshop.queries.expectations import MOST_RUNS

TOOLING, POLYMER, COLOUR = "tooling", "polymer", "colour"
MINUTE_S = 60


@dataclass(frozen=True)
class Change:
    """What is on or in a machine (`before`, empty when nothing is), and what is planned.

    `seconds` is None when nobody knows; `basis` says where they come from: the register, or the
    pauses of so many `runs`.
    """

    code: str
    before: str
    planned: str
    seconds: int | None = None
    basis: str = ""
    runs: int = 0


@dataclass(frozen=True)
class Wanted:
    """What a plan puts on a machine: tooling or none, a polymer, and the colours that are drawn."""

    machine: Machine
    tooling: Tooling | None
    polymer: Polymer
    colours: frozenset[Colour]


def changes_for(wanted: Wanted) -> tuple[Change, ...]:
    """Return what has to be changed over for a plan, tooling first, in at most three queries."""
    found = [tooling_change(wanted), material_change(wanted)]
    return tuple(change for change in found if change)


def tooling_change(wanted: Wanted) -> Change | None:
    """Return the change of tooling, as a run's cost counts it: the newest run on the machine had other."""
    tooling = wanted.tooling
    if tooling is None:
        return None
    rows = Run.objects.filter(machine=wanted.machine).select_related("tooling")
    last = rows.order_by("-pk").first()
    before = last.tooling if last else None
    if before == tooling:
        return None
    minutes = tooling.changeover_minutes
    return Change(
        code=TOOLING,
        before=before.name if before else "",
        planned=tooling.name,
        seconds=None if minutes is None else MINUTE_S * minutes,
        basis="" if minutes is None else REGISTER,
    )


def material_change(wanted: Wanted) -> Change | None:
    """Return the change of polymer, or else of colour; a purged machine and one that keeps nothing have none."""
    last = wanted.machine.last_polymer
    if last is None or wanted.machine.kind not in RETAINING:
        return None
    if last != wanted.polymer:
        return Change(POLYMER, last.symbol, wanted.polymer.symbol, *cleaning_of(wanted.machine))
    before = last_colour(wanted.machine, last)
    if before is None or wanted.colours <= {before}:
        return None
    names = ", ".join(sorted(colour.name for colour in wanted.colours))
    return Change(COLOUR, before.name, names, *cleaning_of(wanted.machine))


def last_colour(machine: Machine, polymer: Polymer) -> Colour | None:
    """Return the colour of the newest charge on a machine, if that was of the polymer it last worked."""
    rows = Charge.objects.filter(run__machine=machine).select_related("lot__colour")
    charge = rows.order_by("-pk").first()
    is_it = charge is not None and charge.lot.polymer_id == polymer.pk
    return charge.lot.colour if is_it else None


def cleaning_of(machine: Machine) -> tuple[int | None, str, int]:
    """Return how long the newest closed runs of a machine that paused for cleaning did so, as a median in s.

    None below three runs; then where it comes from, and of how many runs.
    """
    rows = Pause.objects.filter(
        reason=Pause.Reason.CLEANING, ended_by__isnull=False, run__machine=machine
    ).filter(run__closed_at__isnull=False, run__is_abandoned=False)
    spent = defaultdict(float)
    newest = rows.order_by("-run", "-pk").values_list("run", "happened_at", "ended_by__happened_at")
    for run, start, end in newest[: MOST_RUNS * FEWEST_RUNS]:
        spent[run] += (end - start).total_seconds()
    return median_of(list(spent.values())[:MOST_RUNS])


def median_of(seconds: list[float]) -> tuple[int | None, str, int]:
    """Return the median in whole seconds with its basis and the number of runs."""
    if len(seconds) < FEWEST_RUNS:
        return None, "", len(seconds)
    return round(median(seconds)), PAUSED, len(seconds)


def seconds_of(changes: Iterable[Change], code: str = "") -> int:
    """Return how long changes, or those of one code, take as far as anybody knows."""
    return sum(each.seconds or 0 for each in changes if code in ("", each.code))


def change_said(change: Change) -> str:
    """Return a change with its minutes and where they come from, in a sentence or two."""
    sentences = {
        TOOLING: _("Change of tooling: %(before)s comes off, %(planned)s goes on."),
        POLYMER: _("Change of polymer: it last worked %(before)s, now %(planned)s."),
        COLOUR: _("Change of colour: it last worked %(before)s, now %(planned)s."),
    }
    said = sentences[change.code]
    if change.code == TOOLING and not change.before:
        said = _("Tooling to put on: %(planned)s.")
    return f"{said % vars(change)} {time_said(change)}"


def time_said(change: Change) -> str:
    """Return how long a change takes, and how anybody knows."""
    facts = {"minutes": round((change.seconds or 0) / MINUTE_S), "runs": change.runs}
    if change.basis == REGISTER:
        return _("%(minutes)s min, as the register says.") % facts
    if change.basis == PAUSED:
        return _("%(minutes)s min, the median pause for cleaning of %(runs)s runs on it.") % facts
    if change.code == TOOLING:
        return _("The register does not say how long that takes, so it counts as nothing.")
    return _(
        "How long that takes is not known until three runs on it have had a pause for cleaning."
    )
