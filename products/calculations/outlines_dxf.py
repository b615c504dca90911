"""Outlines out of a DXF: closed lines, circles, ellipses, splines, and lines and arcs whose ends meet.

Read with ezdxf, which runs nothing that a file holds. Text, points, dimensions and hatches are
passed over; a block that is inserted is refused, for its parts would be counted wrongly.
"""

from collections.abc import Iterator
from io import StringIO
from itertools import islice

import ezdxf
from ezdxf.path import make_path

from products.calculations.cut_plans import MOST_MM
from products.calculations.outlines import (
    FURTHEST_MM,
    MM_PER_UNIT,
    MOST_BYTES,
    MOST_DRAWN,
    TOLERANCE_MM,
    Outline,
    OutlineError,
    is_closed,
    joined,
    outlines_mm,
)

DRAWN = ("LINE", "ARC", "LWPOLYLINE", "POLYLINE", "CIRCLE", "ELLIPSE", "SPLINE")
UNIT_OF = {
    1: "in",
    2: "ft",
    4: "mm",
    5: "cm",
    6: "m",
}  # $INSUNITS, DXF reference of release 2000 on
MOST_ENTITIES = 2000
FLAT_MM = 1e-6


def outlines_of_dxf(content: bytes, unit: str = "") -> list[Outline]:
    """Return the outlines of a DXF; the unit is that of its header, else the one given.

    Raises OutlineError `file-large`, `file-no-dxf`, `file-unit` when nobody says the unit,
    `file-blocks`, `file-not-flat`, `file-many-lines`, `outline-open` and what `outlines_mm` raises.
    """
    if len(content) > MOST_BYTES:
        raise OutlineError("file-large", most=str(MOST_BYTES // 1000))
    document = _opened(content)
    scale = MM_PER_UNIT.get(UNIT_OF.get(document.header.get("$INSUNITS", 0), unit))
    if scale is None:
        raise OutlineError("file-unit")
    entities = list(document.modelspace().query(" ".join((*DRAWN, "INSERT"))))
    if any(each.dxftype() == "INSERT" for each in entities):
        raise OutlineError("file-blocks")
    if len(entities) > MOST_ENTITIES:
        raise OutlineError("file-many-lines", most=str(MOST_ENTITIES))
    lines = [line for line in _lines(entities, scale) if len(line) > 1]
    closed = [line for line in lines if is_closed(line)]
    return outlines_mm(closed + joined([line for line in lines if not is_closed(line)]))


def _opened(content: bytes):
    """Return the document, or raise OutlineError `file-no-dxf` for whatever goes wrong within the reader."""
    try:
        return ezdxf.read(StringIO(content.decode("utf-8", errors="surrogateescape")))
    except Exception as error:  # a reader of foreign files fails in many ways
        raise OutlineError("file-no-dxf") from error


def _lines(entities, scale: float) -> Iterator[list[tuple[float, float]]]:
    """Yield entities as lines, while the whole drawing is not too much."""
    drawn = 0
    for each in entities:
        line = _line(each, scale)
        drawn += len(line)
        if drawn > MOST_DRAWN:
            raise OutlineError("file-many-lines", most=str(MOST_DRAWN))
        yield line


def _line(entity, scale: float) -> list[tuple[float, float]]:
    """Return an entity as points in mm, its curves flattened; far points are refused before that."""
    try:
        path = make_path(entity)
        far = FURTHEST_MM / scale
        if not all(abs(each) <= far for point in path.control_vertices() for each in point):
            raise OutlineError("outline-size", most=str(MOST_MM))
        points = list(islice(path.flattening(TOLERANCE_MM / scale), MOST_DRAWN + 1))
    except OutlineError:
        raise
    except Exception as error:
        raise OutlineError("file-no-dxf") from error
    heights = [point.z * scale for point in points]
    if heights and max(heights) - min(heights) > FLAT_MM:
        raise OutlineError("file-not-flat")
    return [(point.x * scale, point.y * scale) for point in points]
