"""Where things go inside a label, in millimetres from its top left corner.

The square code stands at one side, or on top of a tall label; the rows of text beside or
below it; the code to read aloud runs along the foot, as large as the label allows. On
a label where that would leave the square code too small to print, the code to read
stands at the end of the text instead.
"""

from dataclasses import dataclass, replace
from math import isfinite

from products.calculations.label_fonts import MONO, width_em
from products.calculations.label_geometry import GridError
from products.calculations.qr_codes import LEAST_MODULE_MM, module_size_mm

LEAST_LABEL_MM = 15.0
MARGIN_MM = (1.2, 4.0)
MARGIN_SHARE = 0.045
CODE_EDGE_MM = 0.6  # between a quiet zone and the label's edge, for a sheet that lies askew
LINE_EDGE_MM = 0.2  # between a quiet zone and the hairline of the foot
LARGEST_CODE_MM = 70.0
CODE_SHARE = 0.52  # of a wide label's width, at most
LARGEST_FOOT_MM = 11.0
FOOT_SHARE = 0.18  # of the label's height
FOOT_LINE = 1.0  # height of the foot over the size of its text
TALL = 1.2  # width over height below which the square code stands on top
GROUPS = "0000 0000 0000"


@dataclass(frozen=True)
class Frame:
    """A rectangle that something has to fit into (mm)."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Plan:
    """The square code, the rows of text, and the foot, if the code to read stands there."""

    square: Frame
    text: Frame
    foot: Frame | None


def plan(width_mm: float, height_mm: float, modules: int, *, code_side: str = "left") -> Plan:
    """Return where things go inside a label of a size (mm), for a code of so many modules.

    Raises GridError `label-small` below 15 mm either way.
    """
    if not all(isfinite(side) and side >= LEAST_LABEL_MM for side in (width_mm, height_mm)):
        raise GridError("label-small")
    foot = _foot(width_mm, height_mm)
    if width_mm < TALL * height_mm:
        return _tall(width_mm, foot)
    side_mm = _side(width_mm, foot.y_mm - CODE_EDGE_MM - LINE_EDGE_MM)
    if module_size_mm(side_mm, modules) < LEAST_MODULE_MM:
        side_mm = _side(width_mm, height_mm - 2 * CODE_EDGE_MM)
        wide = _wide(width_mm, height_mm - CODE_EDGE_MM, side_mm, foot.x_mm, None)
    else:
        wide = _wide(width_mm, foot.y_mm, side_mm, foot.x_mm, foot)
    return _mirrored(wide, width_mm) if code_side == "right" else wide


def _foot(width_mm: float, height_mm: float) -> Frame:
    margin_mm = min(max(MARGIN_MM[0], MARGIN_SHARE * min(width_mm, height_mm)), MARGIN_MM[1])
    text_mm = (width_mm - 2 * margin_mm) / width_em(GROUPS, MONO)
    line_mm = FOOT_LINE * min(text_mm, FOOT_SHARE * height_mm, LARGEST_FOOT_MM)
    return Frame(margin_mm, height_mm - margin_mm - line_mm, width_mm - 2 * margin_mm, line_mm)


def _side(width_mm: float, height_mm: float) -> float:
    return min(height_mm, CODE_SHARE * width_mm, LARGEST_CODE_MM)


def _wide(
    width_mm: float, bottom_mm: float, side_mm: float, margin_mm: float, foot: Frame | None
) -> Plan:
    top_mm = max(CODE_EDGE_MM, (bottom_mm - side_mm) / 2)
    left_mm = CODE_EDGE_MM + side_mm
    end_mm = bottom_mm if foot else bottom_mm + CODE_EDGE_MM - margin_mm
    text = Frame(left_mm, margin_mm, width_mm - left_mm - margin_mm, end_mm - margin_mm)
    return Plan(Frame(CODE_EDGE_MM, top_mm, side_mm, side_mm), text, foot)


def _tall(width_mm: float, foot: Frame) -> Plan:
    side_mm = min(width_mm - 2 * CODE_EDGE_MM, 0.6 * foot.y_mm, LARGEST_CODE_MM)
    square = Frame((width_mm - side_mm) / 2, CODE_EDGE_MM, side_mm, side_mm)
    top_mm = CODE_EDGE_MM + side_mm
    return Plan(square, Frame(foot.x_mm, top_mm, foot.width_mm, foot.y_mm - top_mm), foot)


def _mirrored(wide: Plan, width_mm: float) -> Plan:
    square, text = (
        replace(frame, x_mm=width_mm - frame.x_mm - frame.width_mm)
        for frame in (wide.square, wide.text)
    )
    return Plan(square, text, wide.foot)
