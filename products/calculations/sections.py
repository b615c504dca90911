"""Areas and second moments of the sections that a workshop extrudes, cuts and builds with.

Lengths are in mm, areas in mm2, second moments in mm4, section moduli in mm3. Textbook formulas of the
strength of materials; a polygon by the shoelace formula.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, pi

from products.calculations.calculators import Impossible

MOST_POINTS = 200
MOST_MM = 5000
LEAST_POINTS = 3


@dataclass(frozen=True)
class Section:
    """Area, second moment about the axis of bending, and section modulus."""

    area_mm2: float
    second_moment_mm4: float
    modulus_mm3: float


def rectangle(*, width_mm: float, height_mm: float) -> Section:
    """Return a solid rectangle, bent about its width: A = BH, I = BH3/12, W = 2I/H.

    >>> rectangle(width_mm=40, height_mm=40).area_mm2
    1600
    """
    moment = width_mm * height_mm**3 / 12
    return Section(width_mm * height_mm, moment, 2 * moment / height_mm)


def box(*, width_mm: float, height_mm: float, wall_mm: float) -> Section:
    """Return a rectangular tube: A = BH - bh, I = (BH3 - bh3)/12, W = 2I/H.

    Raises Impossible `wall` when the wall leaves no hollow.

    >>> round(box(width_mm=40, height_mm=40, wall_mm=4).second_moment_mm4)
    125952
    """
    need_hollow(wall_mm, min(width_mm, height_mm))
    solid = rectangle(width_mm=width_mm, height_mm=height_mm)
    inner = rectangle(width_mm=width_mm - 2 * wall_mm, height_mm=height_mm - 2 * wall_mm)
    moment = solid.second_moment_mm4 - inner.second_moment_mm4
    return Section(solid.area_mm2 - inner.area_mm2, moment, 2 * moment / height_mm)


def rod(*, diameter_mm: float) -> Section:
    """Return a round bar: A = pi D2/4, I = pi D4/64, W = 2I/D.

    >>> round(rod(diameter_mm=20).area_mm2, 2)
    314.16
    """
    moment = pi * diameter_mm**4 / 64
    return Section(pi * diameter_mm**2 / 4, moment, 2 * moment / diameter_mm)


def tube(*, diameter_mm: float, wall_mm: float) -> Section:
    """Return a round tube: A = pi e (D - e), I = pi (D4 - d4)/64.

    Raises Impossible `wall` when the wall leaves no hollow.

    >>> round(tube(diameter_mm=110, wall_mm=7.05).area_mm2, 1)
    2280.2
    """
    need_hollow(wall_mm, diameter_mm)
    moment = pi * (diameter_mm**4 - (diameter_mm - 2 * wall_mm) ** 4) / 64
    return Section(pi * wall_mm * (diameter_mm - wall_mm), moment, 2 * moment / diameter_mm)


def need_hollow(wall_mm: float, across_mm: float) -> None:
    """Raise Impossible `wall` when a wall is half of what it stands around, or more."""
    if 2 * wall_mm >= across_mm:
        raise Impossible("wall", "wall_mm")


@dataclass(frozen=True)
class Ribs:
    """Ribs under a plate: their pitch, thickness and depth below the plate, in mm."""

    pitch_mm: float
    thickness_mm: float
    depth_mm: float


def ribbed_plate(*, width_mm: float, plate_mm: float, ribs: Ribs) -> Section:
    """Return a plate with ribs below it, bent along the ribs, as one T for each pitch.

    The neutral axis is that of plate and ribs together; the modulus is that of the far edge of the
    ribs, the weaker one (parallel axes: I = sum of I_i + A_i d_i2).
    Raises Impossible `ribs` when the ribs are wider than their pitch.

    >>> round(ribbed_plate(width_mm=100, plate_mm=5, ribs=Ribs(50, 5, 15)).area_mm2)
    650
    """
    if ribs.thickness_mm >= ribs.pitch_mm:
        raise Impossible("ribs", "rib_mm")
    number = width_mm / ribs.pitch_mm
    plate = rectangle(width_mm=width_mm, height_mm=plate_mm)
    rib = rectangle(width_mm=ribs.thickness_mm * number, height_mm=ribs.depth_mm)
    area = plate.area_mm2 + rib.area_mm2
    middle_plate, middle_rib = ribs.depth_mm + plate_mm / 2, ribs.depth_mm / 2
    axis = (plate.area_mm2 * middle_plate + rib.area_mm2 * middle_rib) / area
    moment = plate.second_moment_mm4 + plate.area_mm2 * (middle_plate - axis) ** 2
    moment += rib.second_moment_mm4 + rib.area_mm2 * (middle_rib - axis) ** 2
    return Section(area, moment, moment / max(axis, ribs.depth_mm + plate_mm - axis))


def polygon_area_mm2(points: Sequence[tuple[float, float]]) -> float:
    """Return the area of a simple polygon of corners in mm, by the shoelace formula.

    >>> polygon_area_mm2([(0, 0), (40, 0), (40, 20)])
    400.0
    """
    turned = zip(points, [*points[1:], points[0]], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in turned)) / 2


def polygon_girth_mm(points: Sequence[tuple[float, float]]) -> float:
    """Return the length in mm around a polygon.

    >>> polygon_girth_mm([(0, 0), (3, 0), (3, 4)])
    12.0
    """
    turned = zip(points, [*points[1:], points[0]], strict=True)
    return sum(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 for (x1, y1), (x2, y2) in turned)


def parse_points(text: str, at: str = "points") -> list[tuple[float, float]]:
    """Return the corners written as "0,0 40,0 40,20", in mm with points as decimal marks.

    Raises Impossible `points` for what cannot be read, `crossing` for sides that cross.

    >>> parse_points("0,0 40,0 40,20.5")
    [(0.0, 0.0), (40.0, 0.0), (40.0, 20.5)]
    """
    try:
        found = [tuple(float(number) for number in pair.split(",")) for pair in text.split()]
    except ValueError:
        raise Impossible("points", at) from None
    sizes = [number for point in found for number in point]
    sane = all(isfinite(size) and abs(size) <= MOST_MM for size in sizes)
    if not (sane and LEAST_POINTS <= len(found) <= MOST_POINTS and {len(p) for p in found} == {2}):
        raise Impossible("points", at)
    if crosses(found):
        raise Impossible("crossing", at)
    return found


def crosses(points: Sequence[tuple[float, float]]) -> bool:
    """Return whether two sides that do not follow one another cross.

    >>> crosses([(0, 0), (10, 10), (10, 0), (0, 10)])
    True
    """
    sides = list(zip(points, [*points[1:], points[0]], strict=True))
    count = len(sides)
    pairs = ((i, j) for i in range(count) for j in range(i + 2, count) if (i, j) != (0, count - 1))
    return any(_cross(*sides[i], *sides[j]) for i, j in pairs)


def _cross(a, b, c, d) -> bool:
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a, b, c) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
