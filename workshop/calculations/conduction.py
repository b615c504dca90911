"""Heat through a plate or a round bar whose faces are held at one temperature.

One-dimensional conduction with a constant diffusivity alpha: the temperature left, as a share
theta of the step at the face, is a series in the Fourier number Fo = alpha t / L^2, with L the
full thickness of a plate and the radius of a bar (Carslaw and Jaeger, "Conduction of Heat in
Solids", named from memory). Its first term alone is the usual short formula, wrong for small
Fo; here the series is summed and the time found from it by bisection.
"""

from dataclasses import dataclass
from functools import cache
from math import cos, exp, log, pi, sin

TERMS = 160
LEAST_FO = 1e-4  # below, the series needs more terms, and heat has hardly entered
MOST_FO = 20.0
HALVINGS = 60
PLATE, BAR = "plate", "bar"


@dataclass(frozen=True)
class Series:
    """Weights and decays of a series: theta = sum of w exp(-d Fo)."""

    weights: tuple[float, ...]
    decays: tuple[float, ...]

    def left(self, fo: float) -> float:
        """Return the share of the step that is left at a Fourier number."""
        return sum(w * exp(-d * fo) for w, d in zip(self.weights, self.decays, strict=True))

    def short_fo(self, theta: float) -> float:
        """Return the Fourier number by the first term alone, the usual short formula."""
        return log(self.weights[0] / theta) / self.decays[0]

    def fo(self, theta: float) -> float | None:
        """Return the Fourier number at which the share theta is left; None when that is too near to one.

        >>> round(series("plate", average=False).fo(0.47449), 5)
        0.1
        """
        if not self.left(MOST_FO) <= theta <= self.left(LEAST_FO):
            return None
        low, high = LEAST_FO, MOST_FO
        for _halving in range(HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.left(middle) > theta else (low, middle)
        return (low + high) / 2


def bessel(order: int, x: float) -> float:
    """Return J0 or J1 of x by Bessel's integral, whose trapezoidal sum converges at once.

    >>> round(bessel(0, 1.0), 9), round(bessel(1, 1.0), 9)
    (0.765197687, 0.440050586)
    """
    points = int(x) + 40
    angles = (2 * pi * (k + 0.5) / (2 * points) for k in range(points))
    return sum(cos(order * angle - x * sin(angle)) for angle in angles) / points


def bessel_zero(n: int) -> float:
    """Return the n-th zero of J0, by Newton's steps from its usual place (n - 1/4) pi.

    >>> round(bessel_zero(1), 6)
    2.404826
    """
    x = (n - 0.25) * pi
    for _step in range(4):
        x += bessel(0, x) / bessel(1, x)
    return x


@cache
def series(shape: str, *, average: bool) -> Series:
    """Return the series of a plate or a bar, at its centre or as an average over it.

    Plate: 4/pi sum (-1)^k/(2k+1) exp(-((2k+1) pi)^2 Fo) at the centre, 8/pi^2 sum 1/(2k+1)^2 ... on
    average. Bar: sum 2/(x J1(x)) exp(-x^2 Fo) over the zeros x of J0, and 4/x^2 on average. Their
    first constants are 1.2732 and 0.8106, and 1.6020, 0.69166 with 5.7832.

    >>> bar = series("bar", average=True)
    >>> round(bar.decays[0], 4), round(bar.weights[0], 5)
    (5.7832, 0.69166)
    """
    if shape == PLATE:
        odd = [2 * k + 1 for k in range(TERMS)]
        decays = tuple((n * pi) ** 2 for n in odd)
        mean = tuple(8 / d for d in decays)
        centre = tuple((-1) ** k * 4 / (n * pi) for k, n in enumerate(odd))
    else:
        zeros = [bessel_zero(n) for n in range(1, TERMS + 1)]
        decays = tuple(x * x for x in zeros)
        mean = tuple(4 / d for d in decays)
        centre = tuple(2 / (x * bessel(1, x)) for x in zeros)
    return Series(mean if average else centre, decays)
