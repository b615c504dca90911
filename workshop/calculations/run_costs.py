"""What a run used and cost: energy, and money by kind; exact, and never silent about what is unknown.

Energy is what the meter showed, or else an estimate: rated power x share of load x hours worked.
Material counts for what became parts or material and for what was lost; what went back into a bin
(offcuts, rejects, leftover) takes its price along and counts where it is used up. Labour is paid for the
hours worked and the changeover. What an earlier run spent on the material is not in it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from statistics import median

from inventory.calculations.unit_costs import UNKNOWN, UnitCost
from workshop.calculations.rates import Rates
from workshop.calculations.work_times import WorkTime

MG_PER_KG = 1_000_000
METER, RATED, LEARNED = "meter", "rated", "learned"
FEWEST_METERED = 3
MATERIAL, ENERGY, LABOUR, TOOLING, MACHINE = "material", "energy", "labour", "tooling", "machine"
START, END, USED = "start", "end", "used"


@dataclass(frozen=True)
class Energy:
    """Kilowatt-hours, and what they rest on: `meter`, `rated`, `learned` (a plan), or empty: not known."""

    kwh: Fraction | None
    basis: str = ""
    is_usual_load: bool = False


@dataclass(frozen=True)
class Line:
    """The cost of one kind: None when it is not known, and "at least" when some of it is not."""

    kind: str
    amount: Fraction | None
    is_least: bool = False


@dataclass(frozen=True)
class Used:
    """Some mg of a charge that were used up, with what a kg of it cost."""

    mass_mg: int
    cost: UnitCost


@dataclass(frozen=True)
class RunFacts:
    """What the cost of a run follows from; time None where nobody knows it yet, `cycles` without tooling."""

    time: WorkTime | None
    energy: Energy
    used: tuple[Used, ...]
    cycles: int | None
    pieces: int
    good_mg: int


@dataclass(frozen=True)
class RunCost:
    """The cost of a run by kind, in its currency, with what it is shared over."""

    currency: str
    lines: tuple[Line, ...]
    pieces: int
    good_mg: int
    known_share: Fraction | None
    used_mg: int = 0

    @property
    def work(self) -> Fraction:
        """The sum of all that is known beside the material: what is spent on working it."""
        return self.total - (self.material or 0)

    @property
    def material(self) -> Fraction | None:
        """What the material used up cost, as far as it is known."""
        return next((line.amount for line in self.lines if line.kind == MATERIAL), None)

    @property
    def total(self) -> Fraction:
        """The sum of all that is known."""
        return sum((line.amount for line in self.lines if line.amount is not None), Fraction(0))

    @property
    def unknown(self) -> tuple[str, ...]:
        """The kinds of which nothing is known."""
        return tuple(line.kind for line in self.lines if line.amount is None)

    @property
    def is_least(self) -> bool:
        """Whether the sum is only told as "at least"."""
        return any(line.is_least or line.amount is None for line in self.lines)

    @property
    def is_known(self) -> bool:
        """Whether anything is known at all."""
        return bool(self.currency) and len(self.unknown) < len(self.lines)

    @property
    def per_piece(self) -> Fraction | None:
        """The sum for each piece made; None when there is none."""
        return self.total / self.pieces if self.pieces else None

    @property
    def per_kg(self) -> Fraction | None:
        """The sum for each good kilogram: parts, and material made; None when there is none."""
        return self.total * MG_PER_KG / self.good_mg if self.good_mg else None


def metered_kwh(rows: Iterable[tuple[str, Decimal]]) -> Decimal | None:
    """Return what a meter says was used, by what was noted in its order; None while it does not say it.

    A new start begins anew; a figure of what was used counts until something newer is noted.

    >>> metered_kwh([("start", Decimal("10.5")), ("end", Decimal("12.25"))])
    Decimal('1.75')
    """
    start = used = None
    for what, kwh in rows:
        if what == START:
            start, used = kwh, None
        else:
            used = kwh if what == USED or start is None else kwh - start
    return used


def energy_of(metered: Decimal | None, time: WorkTime | None, rates: Rates) -> Energy:
    """Return the energy of a run: metered, or rated power x share of load x hours worked, or unknown."""
    if metered is not None:
        return Energy(Fraction(metered), METER)
    if rates.drawn_kw is None or time is None:
        return Energy(None)
    return Energy(rates.drawn_kw * time.worked_h, RATED, rates.is_usual_load)


def planned_energy(
    per_kg: Sequence[Fraction], good_mg: int, time: WorkTime | None, rates: Rates
) -> Energy:
    """Return the energy of a plan: good mass x the median of metered runs from three on, else by the rating.

    >>> planned_energy([Fraction(1), Fraction(2), Fraction(6)], 3_000_000, None, Rates("EUR")).kwh
    Fraction(6, 1)
    """
    if len(per_kg) >= FEWEST_METERED:
        return Energy(median(per_kg) * good_mg / MG_PER_KG, LEARNED)
    return energy_of(None, time, rates)


def kwh_per_kg(energy: Energy, good_mg: int) -> Fraction | None:
    """Return an energy for each good kilogram in kWh; None when it is not known or nothing is good.

    >>> kwh_per_kg(Energy(Fraction(6)), 3_000_000)
    Fraction(2, 1)
    """
    return energy.kwh * MG_PER_KG / good_mg if energy.kwh is not None and good_mg else None


def mixed(draws: Iterable[tuple[int, UnitCost]]) -> UnitCost:
    """Return what a kg of some draws together cost, by mass in mg; of nothing nothing is known.

    >>> one, other = UnitCost(Fraction(1), Fraction(1)), UnitCost(Fraction(0), Fraction(0))
    >>> mixed([(3, one), (1, other)])
    UnitCost(per_kg=Fraction(3, 4), known_share=Fraction(3, 4))
    """
    rows = list(draws)
    total_mg = sum(mass_mg for mass_mg, _cost in rows)
    if not total_mg:
        return UNKNOWN
    per_kg = sum(mass_mg * cost.per_kg for mass_mg, cost in rows) / total_mg
    return UnitCost(per_kg, sum(mass_mg * cost.known_share for mass_mg, cost in rows) / total_mg)


def material_line(used: Iterable[Used]) -> tuple[Line, Fraction | None]:
    """Return the cost of what was used up, and the share of it whose price is known; None of nothing.

    >>> half = UnitCost(Fraction(1), Fraction(1, 2))
    >>> line, known = material_line([Used(2_000_000, half)])
    >>> line.amount, line.is_least, known
    (Fraction(2, 1), True, Fraction(1, 2))
    """
    rows = list(used)
    total_mg = sum(row.mass_mg for row in rows)
    if not total_mg:
        return Line(MATERIAL, Fraction(0)), None
    known = sum(row.mass_mg * row.cost.known_share for row in rows) / total_mg
    amount = sum(row.mass_mg * row.cost.per_kg for row in rows) / MG_PER_KG
    return Line(MATERIAL, amount if known else None, is_least=known != 1), known


def times(amount: Fraction | None, rate: Fraction | None) -> Fraction | None:
    """Return an amount times its rate; None when one of them is not known."""
    return None if amount is None or rate is None else amount * rate


def run_cost(facts: RunFacts, rates: Rates) -> RunCost:
    """Return the cost of a run by kind; tooling where it has some, and the machine where it has a rate."""
    material, known = material_line(facts.used)
    paid_h, worked_h = (facts.time.paid_h, facts.time.worked_h) if facts.time else (None, None)
    lines = [
        material,
        Line(ENERGY, times(facts.energy.kwh, rates.per_kwh)),
        Line(LABOUR, times(paid_h, rates.labour_per_h)),
    ]
    if facts.cycles is not None:
        lines.append(Line(TOOLING, times(Fraction(facts.cycles), rates.tooling_per_cycle)))
    if rates.machine_per_h is not None:
        lines.append(Line(MACHINE, times(worked_h, rates.machine_per_h)))
    used_mg = sum(row.mass_mg for row in facts.used)
    shared = facts.pieces, facts.good_mg
    return RunCost(rates.currency, tuple(lines), *shared, known_share=known, used_mg=used_mg)
