"""Outlines of parts: one closed line of straight pieces, in um, running counterclockwise.

Curves were flattened before, so that no point of a curve is further than the tolerance from the
line. An outline that crosses itself, is open, or has another inside is refused, not mended.
"""

from dataclasses import dataclass
from math import cos, radians, sin

from shapely.geometry import Polygon
from shapely.strtree import STRtree

from products.calculations.cut_plans import MOST_MM, UM_PER_MM
from products.calculations.sentences import Sentence

TOLERANCE_MM = 0.05  # how far a flattened curve may be from the curve
JOINT_MM = 0.02  # ends no further apart than this belong together
MOST_BYTES = 1_000_000
MOST_OUTLINES, MOST_POINTS = 20, 500
MOST_DRAWN = 20_000  # points of a whole file, curves flattened
LEAST_MM = 1
FURTHEST_MM = 10**7  # from the zero point of a drawing
LEAST_CORNERS = 3
MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}

Point = tuple[int, int]


class OutlineError(ValueError):
    """A file or an outline that is not worked on; `sentence` says why."""

    def __init__(self, code: str, **facts):
        self.code, self.sentence = code, Sentence(code, **facts)
        super().__init__(self.sentence)


@dataclass(frozen=True)
class Outline:
    """A closed line through points in um; the last point is joined to the first."""

    points: tuple[Point, ...]

    @property
    def area_um2(self) -> int:
        """Return the area by the shoelace formula, in um2, rounded down to the whole.

        >>> Outline(((0, 0), (300, 0), (300, 200), (0, 200))).area_um2
        60000
        """
        return abs(twice_area_um2(self.points)) // 2

    @property
    def bounds(self) -> tuple[int, int, int, int]:
        """Return the least x and y and the largest x and y, in um."""
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def polygon(self) -> Polygon:
        """Return it as a polygon, in um."""
        return Polygon(self.points)

    def placed(self, angle_deg: float, dx_um: float, dy_um: float) -> "Outline":
        """Return it turned about 0, 0 counterclockwise, then moved; rounded to whole um.

        >>> Outline(((0, 0), (30, 0), (0, 20))).placed(90, 20, 0).points
        ((20, 0), (20, 30), (0, 0))
        """
        c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
        return Outline(
            tuple(
                (round(x * c - y * s + dx_um), round(x * s + y * c + dy_um)) for x, y in self.points
            )
        )


def twice_area_um2(points) -> int:
    """Return twice the signed area of a closed line: above zero when it runs counterclockwise."""
    following = (*points[1:], points[0])
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, following, strict=True))


def rectangle(length_um: int, width_um: int) -> Outline:
    """Return the outline of a rectangle with its lower left corner at 0, 0."""
    return Outline(((0, 0), (length_um, 0), (length_um, width_um), (0, width_um)))


def outline_mm(points_mm) -> Outline:
    """Return the outline through points in mm, its lower left corner at 0, 0, counterclockwise.

    Raises OutlineError `outline-size`, `outline-flat`, `outline-points`, `outline-crossing`.

    >>> outline_mm([(5, 5), (5, 7), (8, 7), (8, 5), (5, 5)]).points
    ((3000, 0), (3000, 2000), (0, 2000), (0, 0))
    """
    sizes = [abs(each) for point in points_mm for each in point]
    if not all(each <= FURTHEST_MM for each in sizes):  # also what is no number
        raise OutlineError("outline-size", most=str(MOST_MM))
    points = _once(_rounded(points_mm))
    if twice_area_um2(points) < 0:
        points.reverse()
    left, low, right, top = Outline(tuple(points)).bounds
    if max(right - left, top - low) > MOST_MM * UM_PER_MM:
        raise OutlineError("outline-size", most=str(MOST_MM))
    if min(right - left, top - low) < LEAST_MM * UM_PER_MM:
        raise OutlineError("outline-flat")
    found = Outline(tuple((x - left, y - low) for x, y in points))
    if not found.area_um2 or not found.polygon.is_valid:
        raise OutlineError("outline-crossing")
    return found


def _rounded(points_mm) -> list[Point]:
    return [(round(x * UM_PER_MM), round(y * UM_PER_MM)) for x, y in points_mm]


def _once(points: list[Point]) -> list[Point]:
    """Return points, none twice in a row, nor the first again at the end; refuse too many and too few."""
    kept = [point for at, point in enumerate(points) if at == 0 or point != points[at - 1]]
    while len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    if len(kept) > MOST_POINTS:
        raise OutlineError("outline-points", most=str(MOST_POINTS))
    if len(kept) < LEAST_CORNERS:
        raise OutlineError("outline-flat")
    return kept


def outlines_mm(lines: list[list[tuple[float, float]]]) -> list[Outline]:
    """Return the outlines of a file from its closed lines in mm.

    Raises OutlineError `file-no-outline`, `file-many-outlines`, `outline-hole` where one lies in
    another or crosses it, and what `outline_mm` raises.
    """
    if not lines:
        raise OutlineError("file-no-outline")
    if len(lines) > MOST_OUTLINES:
        raise OutlineError("file-many-outlines", most=str(MOST_OUTLINES))
    found = [outline_mm(line) for line in lines]
    where = [Polygon(_rounded(line)) for line in lines]
    pairs = STRtree(where).query(where, predicate="intersects").T
    if any(a < b and _overlap(where[a], where[b]) for a, b in pairs):
        raise OutlineError("outline-hole")
    return found


def _overlap(one: Polygon, other: Polygon) -> bool:
    """Return whether two polygons in um share more than the strip by which rounding moved their edges."""
    return one.intersection(other).area > min(one.length, other.length)


def joined(lines: list[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
    """Return closed lines out of open ones whose ends meet, all in mm; raises OutlineError `outline-open`.

    >>> joined([[(0, 0), (9, 0)], [(9, 9), (9, 0)], [(0, 0), (9, 9)]])
    [[(0, 0), (9, 0), (9, 9), (0, 0)]]
    """
    left, closed = [line for line in lines if len(line) > 1], []
    while left:
        chain = left.pop(0)
        while not _meet(chain[0], chain[-1]) or len(chain) <= LEAST_CORNERS - 1:
            chain = chain + _taken_on(chain[-1], left)
        closed.append(chain)
    return closed


def _taken_on(end, left: list) -> list:
    """Take the line that begins or ends where another one ended out of those left."""
    for at, line in enumerate(left):
        if _meet(line[0], end):
            return left.pop(at)[1:]
        if _meet(line[-1], end):
            return left.pop(at)[-2::-1]
    raise OutlineError("outline-open")


def _meet(a, b) -> bool:
    return abs(a[0] - b[0]) <= JOINT_MM and abs(a[1] - b[1]) <= JOINT_MM


def is_closed(line) -> bool:
    """Return whether a line in mm ends where it began."""
    return len(line) > LEAST_CORNERS and _meet(line[0], line[-1])
