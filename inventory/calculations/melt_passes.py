"""How often material was melted here: the figures of a distribution by melt passes.

A distribution is shares by number of passes, summing to 1, as `traces.pass_distribution` gives
it. Its last number may stand for all beyond it; the mean is then a lower bound.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

NOISE = 1e-12  # what sums of floats may be off by


@dataclass(frozen=True)
class PassFigures:
    """The mean and the most of melt passes, and the share that was melted n times or more.

    `from_times` has (n, share) for n from 1 to the most. `is_open` says that some of it was
    melted `most` times or oftener, so that the mean is a lower bound.
    """

    mean: float
    most: int
    from_times: tuple[tuple[int, float], ...]
    is_open: bool = False

    @property
    def is_even(self) -> bool:
        """Whether all of it was melted equally often, and at least once."""
        return bool(self.most) and not self.is_open and self.share_from(self.most) > 1 - NOISE

    def share_from(self, times: int) -> float:
        """Return the share (0 to 1) that was melted so many times or more."""
        return 1.0 if times <= 0 else dict(self.from_times).get(times, 0.0)


def pass_figures(passes: Mapping[int, float], *, last: int | None = None) -> PassFigures:
    """Return the figures of a distribution whose number `last` stands for all beyond it.

    >>> figures = pass_figures({0: 0.75, 1: 0.1875, 2: 0.0625})
    >>> figures.mean, figures.most, figures.share_from(1)
    (0.3125, 2, 0.25)
    """
    present = {times: share for times, share in passes.items() if share > 0}
    most = max(present, default=0)
    mean = sum(times * share for times, share in present.items())
    from_times, above = [], 0.0
    for times in range(most, 0, -1):
        above += present.get(times, 0.0)
        from_times.insert(0, (times, min(1.0, above)))
    return PassFigures(mean, most, tuple(from_times), is_open=bool(most) and most == last)


def mixed_passes(parts: Sequence[tuple[int, Mapping[int, float]]]) -> dict[int, float]:
    """Return the distribution of some mg of each of several distributions together.

    >>> mixed_passes([(3, {0: 1.0}), (1, {0: 0.5, 2: 0.5})])
    {0: 0.875, 2: 0.125}
    """
    whole, sums = sum(mass_mg for mass_mg, _passes in parts), {}
    for mass_mg, passes in parts:
        for times, share in passes.items() if mass_mg else ():
            sums[times] = sums.get(times, 0.0) + share * mass_mg / whole
    return dict(sorted(sums.items()))
