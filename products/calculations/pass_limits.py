"""How often melted material may be that goes into a design: a limit that the lead sets.

Each melting shortens chains or hardens the melt, so that parts of much regrind are weaker
(common practice: 20 to 25 per cent regrind); how many passes a design bears the workshop decides.
"""

from dataclasses import dataclass

MOST_TIMES, MOST_PERCENT = 9, 99
FLOAT_NOISE = 1e-9


@dataclass(frozen=True)
class PassLimit:
    """No more than `most_percent` of a charge, by mass, was melted `times` times or more before."""

    times: int
    most_percent: int

    @property
    def can_be(self) -> bool:
        """Whether it limits anything and can be counted: 1 to 9 times, 0 to 99 per cent.

        >>> PassLimit(3, 20).can_be, PassLimit(0, 20).can_be, PassLimit(3, 100).can_be
        (True, False, False)
        """
        return 1 <= self.times <= MOST_TIMES and 0 <= self.most_percent <= MOST_PERCENT

    def is_passed_by(self, share: float) -> bool:
        """Return whether a share (0 to 1) that was melted so often is above the limit.

        >>> PassLimit(3, 20).is_passed_by(0.2), PassLimit(3, 20).is_passed_by(0.201)
        (False, True)
        """
        return share * 100 > self.most_percent + FLOAT_NOISE
