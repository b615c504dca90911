"""Which bins to draw a charge from: a small mixed-integer programme, solved level by level.

Wishes, each only among what is equal by those before it:

1. old bins are emptied: the oldest if it can be, then the next, and so on;
2. few bins are opened;
3. little is left in the bins that are opened;
4. older bins are opened, and more is taken out of the older ones.

The order of the wishes is this project's judgement. Limits on shares are linear over the charge:
sum of (share - bound) x mass <= 0. Masses are kg inside, for the solver's sake, and whole mg outside.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import highspy

MG_PER_KG = 1_000_000
EXACT = 1e-9  # kg: a thousandth of a milligram
UNDER_A_MG = 4e-7  # kg
SAFE_SHARE = 1e-6  # by so much a limit is kept away from, where that is possible
AT_ONCE = 10  # wishes of one level that one solving weighs, by powers of two


@dataclass(frozen=True)
class Stock:
    """What can be drawn from, with its shares (0 to 1) by the name of the limit that they count for."""

    key: str
    held_mg: int
    shares: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Limit:
    """A bound (0 to 1) on a share over the whole charge: at most, or at least."""

    name: str
    bound: float
    is_least: bool = False


@dataclass(frozen=True)
class Wanted:
    """How much is to be drawn, in mg, within which limits, and out of how many bins at most."""

    mass_mg: int
    limits: tuple[Limit, ...] = ()
    most_bins: int | None = None


@dataclass(frozen=True)
class Draw:
    """So many mg out of one bin, and what is left in it."""

    key: str
    mass_mg: int
    left_mg: int

    @property
    def is_emptied(self) -> bool:
        """Whether nothing is left."""
        return self.left_mg == 0


def choose_draws(stocks: Sequence[Stock], wanted: Wanted) -> tuple[Draw, ...] | None:
    """Return what to draw from bins that are named oldest first, or None when it cannot be done.

    The same question has the same answer: ties are broken by age, and one thread solves.

    >>> old, new = Stock("old", 2_000_000), Stock("new", 9_000_000)
    >>> choose_draws([old, new], Wanted(5_000_000))
    (Draw(key='old', mass_mg=2000000, left_mg=0), Draw(key='new', mass_mg=3000000, left_mg=6000000))
    """
    if not 0 < wanted.mass_mg <= sum(stock.held_mg for stock in stocks):
        return None
    programme = Programme(stocks, wanted)
    places = range(len(stocks))
    if not programme.prefer([programme.emptied[place] for place in places]):
        return None
    programme.least(dict.fromkeys(programme.opened, 1.0), slack=0.5)
    programme.least(dict(zip(programme.opened, programme.held_kg, strict=True)), slack=UNDER_A_MG)
    programme.prefer([programme.opened[place] for place in places])
    return programme.draws()


def reachable_share(stocks: Sequence[Stock], wanted: Wanted, limit: Limit) -> float | None:
    """Return the share nearest to a limit that the charge can have by the other limits; None for none.

    >>> low, high = Stock("a", 3_000_000, {"recycled": 0.2}), Stock("b", 1_000_000, {"recycled": 1.0})
    >>> reachable_share([low, high], Wanted(2_000_000), Limit("recycled", 0.9, is_least=True))
    0.6
    """
    if not 0 < wanted.mass_mg <= sum(stock.held_mg for stock in stocks):
        return None
    programme = Programme(stocks, wanted)
    sign = -1 if limit.is_least else 1
    costs = {
        column: sign * stock.shares.get(limit.name, 0.0)
        for column, stock in zip(programme.drawn, stocks, strict=True)
    }
    found = programme.minimum(costs)
    return None if found is None else round(abs(found) / programme.wanted_kg, 9)


class Programme:
    """The programme of one question: a mass, "opened" and "emptied" for each bin."""

    def __init__(self, stocks: Sequence[Stock], wanted: Wanted):
        self.stocks, self.wanted = list(stocks), wanted
        self.wanted_kg = wanted.mass_mg / MG_PER_KG
        self.held_kg = [stock.held_mg / MG_PER_KG for stock in stocks]
        many = len(self.stocks)
        self.drawn = list(range(many))
        self.opened = list(range(many, 2 * many))
        self.emptied = list(range(2 * many, 3 * many))
        self.solver = quiet_solver()
        self.add_columns()
        self.limit_rows = self.add_rows()

    def add_columns(self) -> None:
        """Add the masses in kg, then the yes-or-no columns."""
        for held_kg in self.held_kg:
            self.solver.addVar(0.0, held_kg)
        for column in self.opened + self.emptied:
            self.solver.addVar(0.0, 1.0)
            self.solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)

    def add_rows(self) -> list[int]:
        """Cover the mass, tie the columns to each other, and set the limits; return the rows of the limits."""
        self.row(dict.fromkeys(self.drawn, 1.0), least=self.wanted_kg, most=self.wanted_kg)
        for drawn, opened, emptied in zip(self.drawn, self.opened, self.emptied, strict=True):
            held_kg = self.held_kg[drawn]
            self.row({drawn: 1.0, opened: -held_kg}, most=0.0)
            self.row({drawn: -1.0, emptied: held_kg}, most=0.0)
        if self.wanted.most_bins is not None:
            self.row(dict.fromkeys(self.opened, 1.0), most=float(self.wanted.most_bins))
        return [self.limit_row(limit) for limit in self.wanted.limits]

    def limit_row(self, limit: Limit) -> int:
        """Add the row of a limit, which is kept at zero or below."""
        sign = -1.0 if limit.is_least else 1.0
        costs = {
            column: sign * (stock.shares.get(limit.name, 0.0) - limit.bound)
            for column, stock in zip(self.drawn, self.stocks, strict=True)
        }
        return self.row(costs, most=0.0)

    def row(self, costs: Mapping[int, float], *, least=-highspy.kHighsInf, most) -> int:
        """Add a row and return its place."""
        self.solver.addRow(least, most, len(costs), list(costs), list(costs.values()))
        return self.solver.getNumRow() - 1

    def minimum(self, costs: Mapping[int, float]) -> float | None:
        """Return the least of a sum over the columns, or None when the rows cannot all hold."""
        for column in range(self.solver.getNumCol()):
            self.solver.changeColCost(column, costs.get(column, 0.0))
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        return self.solver.getInfo().objective_function_value

    def least(self, costs: Mapping[int, float], *, slack: float) -> None:
        """Keep a sum at its least, within a slack below the next value that it could have."""
        found = self.minimum(costs)
        self.row(costs, most=found + slack)

    def prefer(self, columns: list[int]) -> bool:
        """Say yes to the first of some yes-or-no columns if that can be, then to the second, and so on."""
        for start in range(0, len(columns), AT_ONCE):
            some = columns[start : start + AT_ONCE]
            worth = {column: -(2.0 ** (len(some) - place)) for place, column in enumerate(some)}
            if self.minimum(worth) is None:
                return False
            answers = {column: float(round(self.value(column))) for column in some}
            for column, answer in answers.items():
                self.solver.changeColBounds(column, answer, answer)
        return True

    def value(self, column: int) -> float:
        """Return what the last solving gave a column."""
        return self.solver.getSolution().col_value[column]

    def draws(self) -> tuple[Draw, ...]:
        """Return the draws once it is settled which bins are opened and emptied: more from the older ones."""
        self.keep_off_the_limits()
        opened = [place for place in self.drawn if self.says_yes(self.opened[place])]
        open_ended = [place for place in opened if not self.says_yes(self.emptied[place])]
        for place in open_ended:
            most_kg = -self.minimum({place: -1.0})
            self.solver.changeColBounds(place, max(0.0, most_kg - EXACT), self.held_kg[place])
        self.minimum({})
        masses = {place: self.stocks[place].held_mg for place in opened}
        for place in open_ended:
            masses[place] = round(self.value(place) * MG_PER_KG)
        if open_ended:  # rounding to whole milligrams is made good at the youngest
            masses[open_ended[-1]] += self.wanted.mass_mg - sum(masses.values())
        return tuple(
            Draw(self.stocks[place].key, mass_mg, self.stocks[place].held_mg - mass_mg)
            for place, mass_mg in masses.items()
        )

    def keep_off_the_limits(self) -> None:
        """Stay a millionth inside the limits where that can be, so that rounding breaks none."""
        for most in (-SAFE_SHARE * self.wanted_kg, 0.0):
            for row in self.limit_rows:
                self.solver.changeRowBounds(row, -highspy.kHighsInf, most)
            if self.minimum({}) is not None:
                return

    def says_yes(self, column: int) -> bool:
        """Return whether a settled column is one."""
        return self.solver.getLp().col_lower_[column] > 0


def quiet_solver() -> highspy.Highs:
    """Return a solver that prints nothing, works in one thread and stops at no gap."""
    solver = highspy.Highs()
    for name, value in {
        "output_flag": False,
        "log_to_console": False,
        "threads": 1,
        "random_seed": 0,
        "mip_rel_gap": 0.0,
        "mip_abs_gap": 0.0,
        "mip_feasibility_tolerance": EXACT,
        "primal_feasibility_tolerance": EXACT,
    }.items():
        solver.setOptionValue(name, value)
    return solver


@dataclass(frozen=True)
class Obstacle:
    """Why nothing was found: a code, a mass in mg, a share (0 to 1) or a number that belongs to it."""

    code: str
    mass_mg: int = 0
    share: float = 0.0
    number: int = 0


@dataclass(frozen=True)
class Offers:
    """What may be drawn, and beside it what is on hold, and what has another colour; oldest first."""

    free: tuple[Stock, ...]
    on_hold: tuple[Stock, ...] = ()
    other_colours: tuple[Stock, ...] = ()


def obstacles(offers: Offers, wanted: Wanted) -> tuple[Obstacle, ...]:
    """Return what stands in the way of a charge, found by dropping one limit at a time.

    `short` tells the mass that is missing, `on-hold` and `all-on-hold` what would be there without
    holds, `other-colour` that with other colours it could be done. A limit by its name tells
    the share that can be reached, `most-bins` how many bins it takes; `together` that no single
    limit is in the way.

    >>> [each.code for each in obstacles(Offers((), (Stock("a", 9),)), Wanted(5))]
    ['short', 'all-on-hold']
    """
    missing_mg = wanted.mass_mg - total_mg(offers.free)
    found = [Obstacle("short", missing_mg)] if missing_mg > 0 else limits_in_the_way(offers, wanted)
    if offers.on_hold and choose_draws(offers.free + offers.on_hold, wanted):
        code = "on-hold" if offers.free else "all-on-hold"
        found.append(Obstacle(code, total_mg(offers.on_hold)))
    if offers.other_colours and choose_draws(offers.free + offers.other_colours, wanted):
        found.append(Obstacle("other-colour", total_mg(offers.other_colours)))
    return tuple(found or [Obstacle("together")])


def limits_in_the_way(offers: Offers, wanted: Wanted) -> list[Obstacle]:
    """Return each limit without which the charge could be drawn, with what can be reached within the others."""
    found = []
    for limit in wanted.limits:
        others = tuple(each for each in wanted.limits if each != limit)
        looser = Wanted(wanted.mass_mg, others, wanted.most_bins)
        share = reachable_share(offers.free, looser, limit)
        if share is not None:
            found.append(Obstacle(limit.name, share=share))
    looser = Wanted(wanted.mass_mg, wanted.limits)
    fewest = fewest_bins(offers.free, looser) if wanted.most_bins is not None else None
    return found + ([Obstacle("most-bins", number=fewest)] if fewest else [])


def fewest_bins(stocks: Sequence[Stock], wanted: Wanted) -> int | None:
    """Return how few bins a charge can come from, or None when it cannot be drawn at all."""
    programme = Programme(stocks, wanted)
    found = programme.minimum(dict.fromkeys(programme.opened, 1.0))
    return None if found is None else round(found)


def total_mg(stocks: Sequence[Stock]) -> int:
    """Return what some bins hold together, in mg."""
    return sum(stock.held_mg for stock in stocks)
