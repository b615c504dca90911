"""Outlines out of a DXF: closed lines, circles, ellipses, splines, and lines and arcs whose ends meet.

Read with ezdxf, which runs nothing that a file holds. Text, points, dimensions and hatches are
passed over; a block that is inserted is refused, for its parts would be counted wrongly.
"""

from io import StringIO

import ezdxf
from ezdxf.path import make_path

from products.calculations.outlines import (
    MM_PER_UNIT,
    MOST_BYTES,
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
    lines = [line for each in entities if len(line := _line(each, scale)) > 1]
    closed = [line for line in lines if is_closed(line)]
    return outlines_mm(closed + joined([line for line in lines if not is_closed(line)]))


def _opened(content: bytes):
    """Return the document, or raise OutlineError `file-no-dxf` for whatever goes wrong within the reader."""
    try:
        return ezdxf.read(StringIO(content.decode("utf-8", errors="surrogateescape")))
    except Exception as error:  # a reader of foreign files fails in many ways
        raise OutlineError("file-no-dxf") from error


def _line(entity, scale: float) -> list[tuple[float, float]]:
    """Return an entity as points in mm, its curves flattened."""
    try:
        points = list(make_path(entity).flattening(TOLERANCE_MM / scale))
    except Exception as error:
        raise OutlineError("file-no-dxf") from error
    heights = [point.z * scale for point in points]
    if heights and max(heights) - min(heights) > FLAT_MM:
        raise OutlineError("file-not-flat")
    return [(point.x * scale, point.y * scale) for point in points]
