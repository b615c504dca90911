"""The process sheet of a design in a polymer on a machine: what the lead chose, and what closed runs had."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from inventory.models import Polymer
from inventory.queries.own_figures import own_of, window_of
from products.calculations.foreign_sheets import CYCLE, SECONDS, STEP
from products.calculations.quantities import QUANTITIES, READ_IN
from products.models import Design, Quantity
from products.models.windows import window_in_words
from products.queries.sentences import basis_said
from workshop.calculations.cycles import CycleStatistics
from workshop.calculations.process_sheets import (
    LEFTOVER,
    MOST_NOTES,
    Middle,
    Outcome,
    best_first,
    charge_of_a_piece_mg,
    middle_of,
    read_in_runs,
    shares_of,
    that_worked,
)
from workshop.calculations.steps import STEPS
from workshop.models import Charge, ChosenSetting, Machine, Reading, Run, Step
from workshop.queries.expectations import given_by_run, loaded_by_run
from workshop.queries.machines import machines_for
from workshop.queries.plan_times import statistics_of
from workshop.queries.readings import Ceiling, fume_ceiling

MOST_RUNS = 60


@dataclass(frozen=True)
class Pair:
    """A polymer on a machine in which a design was made: how many runs are closed, and which worked."""

    polymer: Polymer
    machine: Machine
    closed: int
    worked: tuple[Outcome, ...]


@dataclass(frozen=True)
class WindowBeside:
    """A window in words, and where it comes from."""

    window: str
    source: str


@dataclass(frozen=True)
class Setting:
    """One line of a sheet."""

    name: str
    learned: Middle | None = None
    chosen: ChosenSetting | None = None
    windows: tuple[WindowBeside, ...] = ()
    fume_above_c: int | None = None

    @property
    def label(self) -> str:
        """What it is called, in the reader's language."""
        return setting_label(self.name)

    @property
    def unit(self) -> str:
        """The unit of its values."""
        return setting_unit(self.name) or (self.chosen.unit if self.chosen else "")

    @property
    def is_time(self) -> bool:
        """Whether it is a time in seconds."""
        return is_time(self.name)

    @property
    def is_known(self) -> bool:
        """Whether there is anything to say of it."""
        return bool(self.learned or self.chosen or self.windows)

    @property
    def is_above_fume(self) -> bool:
        """Whether what the lead chose lies above the fume ceiling as it is now."""
        value = self.chosen.value if self.chosen else None
        return value is not None and self.fume_above_c is not None and value > self.fume_above_c


@dataclass(frozen=True)
class BestRun:
    """A run that worked and said how it was set."""

    run: Run
    reject_share: float


@dataclass(frozen=True)
class ProcessSheet:
    """Settings that worked; shares are of what was worked, masses in mg."""

    design: Design
    polymer: Polymer | None
    machine: Machine | None
    pairs: list[Pair]
    closed: int
    runs: list[Run]
    settings: list[Setting]
    shares: dict[str, Middle]
    charge_mg: Middle | None
    best: list[BestRun]
    ceiling: Ceiling

    @property
    def is_named(self) -> bool:
        """Whether there is a polymer and a machine to speak of."""
        return self.polymer is not None and self.machine is not None

    @property
    def chosen(self) -> list[Setting]:
        """What the lead chose; it stands first."""
        return [each for each in self.settings if each.chosen]

    @property
    def others(self) -> list[Setting]:
        """What nobody chose, as it was learned."""
        return [each for each in self.settings if not each.chosen]


def is_time(name: str) -> bool:
    """Return whether a setting is a time."""
    is_step = name.startswith(STEP) and name.removeprefix(STEP) in Step.Name.values
    return name == CYCLE or is_step


def setting_label(name: str) -> str:
    """Return what a setting is called; words of one's own are themselves."""
    if name == CYCLE:
        return _("One cycle")
    if is_time(name):
        return capfirst(Step.Name(name.removeprefix(STEP)).label)
    return capfirst(Quantity(name).label) if name in QUANTITIES else name


def setting_unit(name: str) -> str:
    """Return the unit of a setting that is read or timed; empty for words of one's own."""
    if is_time(name):
        return SECONDS
    return QUANTITIES[name].unit if name in QUANTITIES else ""


def settings_of(design: Design) -> tuple[str, ...]:
    """Return what is read and timed when a design is made, in the order of a sheet."""
    steps = tuple(f"{STEP}{name}" for name in STEPS[design.made_by])
    return (*READ_IN[design.made_by], CYCLE, *steps)


def chosen_rows(design: Design, polymer: Polymer, machine: Machine) -> QuerySet[ChosenSetting]:
    """Return all that was ever chosen and dropped for a sheet, newest first."""
    rows = ChosenSetting.objects.filter(design=design, polymer=polymer, machine=machine)
    return rows.select_related("by")


def chosen_now(rows) -> dict[str, ChosenSetting]:
    """Return what holds, by name; `rows` are the newest first."""
    newest = {row.name: row for row in reversed(list(rows))}
    return {name: row for name, row in newest.items() if not row.is_dropped}


def process_sheet(
    design: Design, polymer: Polymer | None = None, machine: Machine | None = None
) -> ProcessSheet:
    """Return the sheet of a design in a polymer on a machine; what is not named is where most runs worked.

    It learns from the newest closed runs, sixty at most. The number of queries is fixed.
    """
    runs, pairs = pairs_of(design)
    polymer, machine = named(design, pairs, polymer, machine)
    pair = next(
        (each for each in pairs if (each.polymer, each.machine) == (polymer, machine)), None
    )
    worked = pair.worked if pair else ()
    ceiling = fume_ceiling(polymer)
    learned = learned_in(noted_in([each.key for each in worked]), worked, ceiling.c)
    return ProcessSheet(
        design=design,
        polymer=polymer,
        machine=machine,
        pairs=pairs,
        closed=pair.closed if pair else 0,
        runs=[runs[each.key] for each in worked],
        settings=settings_on(design, polymer, machine, learned, ceiling),
        shares=shares_of(worked),
        charge_mg=charge_of_a_piece_mg(worked),
        best=best_runs(worked, runs),
        ceiling=ceiling,
    )


def pairs_of(design: Design) -> tuple[dict[int, Run], list[Pair]]:
    """Return the closed runs of a design by key, and the polymers on machines in which they were done.

    A run of several polymers tells of none. The pair in which most runs worked comes first.
    """
    closed = Run.objects.filter(
        design=design, operation=design.made_by, closed_at__isnull=False, is_abandoned=False
    )
    runs = {run.pk: run for run in closed.select_related("machine")[:MOST_RUNS]}
    polymers = polymers_by_run(list(runs))
    worked = {each.key: each for each in that_worked(outcomes_of(list(runs)))}
    groups = {}
    for key, run in runs.items():
        if key in polymers:
            groups.setdefault((polymers[key], run.machine), []).append(key)
    pairs = [
        Pair(*names, len(keys), tuple(worked[key] for key in keys if key in worked))
        for names, keys in groups.items()
    ]
    return runs, sorted(pairs, key=lambda pair: -len(pair.worked))


def polymers_by_run(keys: list[int]) -> dict[int, Polymer]:
    """Return the polymer of each run that worked one only."""
    charges = Charge.objects.filter(run__in=keys, lot__in_mg__gt=0, lot__polymer__isnull=False)
    found = {}
    for charge in charges.select_related("lot__polymer"):
        found.setdefault(charge.run_id, set()).add(charge.lot.polymer)
    return {key: polymers.pop() for key, polymers in found.items() if len(polymers) == 1}


def outcomes_of(keys: list[int]) -> list[Outcome]:
    """Return what each run worked and gave."""
    (given, pieces), loaded = given_by_run(keys), loaded_by_run(keys)
    return [
        Outcome(key, loaded.get(key, 0) - given[key].get(LEFTOVER, 0), pieces[key], given[key])
        for key in keys
    ]


def named(design: Design, pairs: list[Pair], polymer, machine) -> tuple:
    """Return the polymer and the machine of a sheet: as asked, else as most runs had them, else the first."""
    fitting = [
        each
        for each in pairs
        if polymer in (None, each.polymer) and machine in (None, each.machine)
    ]
    if fitting:
        return fitting[0].polymer, fitting[0].machine
    return polymer or first_polymer(design), machine or machines_for(design.made_by).first()


def first_polymer(design: Design) -> Polymer | None:
    """Return the first polymer of which a design is made, or None when any will do.

    Where sheets came with the design, theirs is the first: of that polymer somebody knows something.
    """
    told = design.foreign_sheets.select_related("polymer").first()
    if told:
        return told.polymer
    return design.polymers.filter(is_rejected=False).first()


@dataclass(frozen=True)
class Noted:
    """What was read and timed in some runs: rows of readings, and what the taps say, by run."""

    readings: list[tuple[int, str, Decimal]]
    taps: dict[int, CycleStatistics]


def noted_in(keys: list[int]) -> Noted:
    """Return what was noted in some closed runs, in four queries however many runs."""
    rows = Reading.objects.filter(run__in=keys, is_above_fume=False)
    readings = list(rows.values_list("run", "quantity", "value"))
    return Noted(readings, dict(zip(keys, statistics_of(keys), strict=True)))


def learned_in(noted: Noted, worked, ceiling_c: int | None) -> dict[str, Middle]:
    """Return what runs had by the name of the setting; a reading above the fume ceiling never counts."""
    keys = {each.key for each in worked}
    kept = [
        (run, quantity, float(value))
        for run, quantity, value in noted.readings
        if run in keys and not (ceiling_c and QUANTITIES[quantity].is_heat and value > ceiling_c)
    ]
    return read_in_runs(kept) | times_in([noted.taps[each.key] for each in worked])


def times_in(taps: list[CycleStatistics]) -> dict[str, Middle]:
    """Return the usual times of a cycle and of its steps in seconds: of the medians of the runs."""
    cycles, steps = [], {}
    for found in taps:
        cycles += [found.times.median_s] if found.times else []
        for step in found.steps:
            steps.setdefault(f"{STEP}{step.name}", []).append(step.times.median_s)
    known = {CYCLE: middle_of(cycles)} | {name: middle_of(each) for name, each in steps.items()}
    return {name: middle for name, middle in known.items() if middle}


def settings_on(design, polymer, machine, learned, ceiling: Ceiling) -> list[Setting]:
    """Return the lines of a sheet: what is read and timed, then what the lead chose in own words."""
    rows = chosen_rows(design, polymer, machine) if polymer and machine else ()
    chosen = chosen_now(rows)
    of_design = {window.quantity: window for window in design.windows.all()}
    own = own_of(polymer) if polymer else {}
    usual = settings_of(design)
    names = [*usual, *(name for name in (*chosen, *learned) if name not in usual)]
    found = [
        Setting(
            name,
            learned.get(name),
            chosen.get(name),
            windows_for(of_design.get(name), usual_window(design, polymer, own, name)),
            ceiling.c if name in QUANTITIES and QUANTITIES[name].is_heat else None,
        )
        for name in dict.fromkeys(names)
    ]
    return [each for each in found if each.is_known]


def usual_window(design: Design, polymer: Polymer | None, own, name: str):
    """Return the window of the polymer with what it rests on: the workshop's own, or a published one."""
    key = f"{design.made_by}-{name}"
    found = window_of(polymer, own, key) if polymer else None
    if found is None or key in own:
        return found
    return *found[:2], basis_said(found[2])


def windows_for(of_design, usual) -> tuple[WindowBeside, ...]:
    """Return the windows that stand beside a setting, each in words with where it comes from."""
    found = [WindowBeside(of_design.in_words, _("this design"))] if of_design else []
    if usual:
        low, high, source = usual
        found.append(WindowBeside(window_in_words(low, high, "°C"), source))
    return tuple(found)


def best_runs(worked, runs: dict[int, Run]) -> list[BestRun]:
    """Return the best of the runs that worked and noted their settings."""
    noted = [each for each in best_first(worked) if runs[each.key].settings_note.strip()]
    return [BestRun(runs[each.key], each.share("reject")) for each in noted[:MOST_NOTES]]
