"""How often material has been melted when the same share of regrind goes in again and again."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    BARREL,
    Answer,
    Calculator,
    Input,
    Note,
    Output,
    Source,
    noted,
)
from products.calculations.sentences import gettext_noop

USUAL_CAP = 25
WHOLE = 100
SHOWN = 5
MANY = 3


@dataclass(frozen=True)
class Passes:
    """Shares in per cent of what was melted 0, 1, 2 ... times before, the rest, and the mean."""

    shares_percent: tuple[float, ...]
    at_least_percent: float
    mean: float
    notes: tuple[Note, ...] = ()


def shares_after(*, regrind: float, cycles: int | None = None, shown: int = SHOWN) -> list[float]:
    """Return the shares 0 to 1 of what was melted n earlier times, n below `shown`.

    A constant share r of each charge, well mixed: exactly n earlier passes (1 - r) r^n. From a fresh start
    the series ends: after k cycles it is cut at n = k - 1, where all the rest stands.

    >>> shares_after(regrind=0.25)[:3]
    [0.75, 0.1875, 0.046875]
    >>> shares_after(regrind=0.5, cycles=2)
    [0.5, 0.5, 0.0, 0.0, 0.0]
    """
    last = shown if cycles is None else cycles - 1
    geometric = [(1 - regrind) * regrind**n for n in range(shown)]
    return [
        share if n < last else (regrind**n if n == last else 0.0)
        for n, share in enumerate(geometric)
    ]


def mean_passes(*, regrind: float, cycles: int | None = None) -> float:
    """Return the mean of earlier passes: r / (1 - r), or r + r2 + ... + r^(k-1) after k cycles.

    >>> round(mean_passes(regrind=0.8), 6), mean_passes(regrind=0.5, cycles=3)
    (4.0, 0.75)
    """
    if cycles is None:
        return regrind / (1 - regrind)
    return regrind * (1 - regrind ** (cycles - 1)) / (1 - regrind)


def melt_passes(*, regrind_percent: float, cycles: int | None = None, before: float = 0) -> Passes:
    """Return the shares by earlier passes at a constant share of regrind, in per cent, and the mean.

    `before` is how often the fresh material had been melted; the mean has it, the shares count from it.

    A guideline caps regrind in fresh material at 20 to 25 % (a resin distributor's note); above it, and
    from a mean of three passes on (this project's judgement), there is a note. The series is exact.

    >>> melt_passes(regrind_percent=25).at_least_percent
    0.09765625
    """
    regrind = regrind_percent / WHOLE
    shares = shares_after(regrind=regrind, cycles=cycles)
    mean = mean_passes(regrind=regrind, cycles=cycles) + before
    return Passes(
        tuple(WHOLE * share for share in shares),
        WHOLE * max(0.0, 1 - sum(shares)),
        mean,
        noted(
            (regrind_percent > USUAL_CAP, "above-cap", {"cap": USUAL_CAP}),
            (mean >= MANY, "many", {}),
        ),
    )


def _answer(given: Mapping) -> Answer:
    cycles = None if given["cycles"] is None else int(given["cycles"])
    asked = {name: given[name] for name in ("regrind_percent", "before")}
    found = melt_passes(**asked, cycles=cycles)
    values = {f"share_{n}_percent": share for n, share in enumerate(found.shares_percent)}
    values |= {"mean": found.mean, "rest_percent": found.at_least_percent}
    return Answer(values, found.notes)


PASSES = gettext_noop("passes")

MELT_PASSES = Calculator(
    name="melt-passes",
    title=gettext_noop("Melt passes"),
    question=gettext_noop("How often has this been melted when regrind always goes back in?"),
    steps=("injecting", "extruding"),
    inputs=(
        Input("regrind_percent", gettext_noop("Regrind in each charge"), "%", 25, 0, 99),
        Input(
            "cycles",
            gettext_noop("Cycles since a fresh start"),
            gettext_noop("cycles"),
            None,
            1,
            1000,
            kind="whole",
            is_optional=True,
            help=gettext_noop("Empty: it has always gone on like this."),
        ),
        Input(
            "before",
            gettext_noop("The fresh material had been melted"),
            gettext_noop("times"),
            0,
            0,
            20,
        ),
    ),
    outputs=(
        Output("mean", gettext_noop("Melted before, on average"), PASSES, 3, is_main=True),
        Output("share_0_percent", gettext_noop("Fresh"), "%", 4, is_main=True),
        Output("share_1_percent", gettext_noop("Melted once more"), "%", 4),
        Output("share_2_percent", gettext_noop("Twice more"), "%", 4),
        Output("share_3_percent", gettext_noop("Three times more"), "%", 4),
        Output("share_4_percent", gettext_noop("Four times more"), "%", 4),
        Output("rest_percent", gettext_noop("Five times more or oftener"), "%", 3),
    ),
    answer=_answer,
    formula=("share(n) = (1 − r) · rⁿ", "share(≥ N) = r^N", "mean = r / (1 − r)"),
    symbols=(
        ("r", gettext_noop("share of regrind in each charge"), "%"),
        ("n, N", gettext_noop("passes before"), ""),
    ),
    sources=(
        Source(gettext_noop("Geometric series"), "exact"),
        Source(gettext_noop("Cap of 20 to 25 %: a resin distributor's note on regrind")),
        Source(gettext_noop("A mean of three passes counts as many"), "judgement"),
    ),
    valid=gettext_noop(
        "For well mixed charges with the same share each time. For PP each pass at 240 to 280 °C raises melt flow,"
        " faster when hotter; melt flow is the practical check."
    ),
    notes={
        "above-cap": gettext_noop(
            "A common guideline stops at %(cap)s %% of regrind in fresh material."
        ),
        "many": gettext_noop(
            "Three passes or more on average: look at melt flow, colour and smell."
        ),
    },
    caution=BARREL,
)
