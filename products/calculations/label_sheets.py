"""Sheets of labels as a PDF in exact millimetres, and the page that tells a printer's error.

The same labels give the same bytes: the file holds no date and no random name.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from io import BytesIO

from reportlab import rl_config
from reportlab.lib.colors import Color, HexColor
from reportlab.pdfgen.canvas import Canvas

from products.calculations.label_drawing import (
    HAIRLINE_MM,
    INK,
    PAPER,
    Item,
    Line,
    Polygon,
    Qr,
    Rect,
    Text,
    moved,
)
from products.calculations.label_fonts import (
    CAP_HEIGHT,
    FILES,
    LINE,
    PLAIN,
    STRONG,
    clean,
    face,
    fit_text,
    width_em,
)
from products.calculations.label_geometry import (
    RULER_STEP_MM,
    UNTOUCHED,
    Calibration,
    Grid,
    positions,
    ruler_lengths_mm,
)
from products.calculations.label_images import stretches
from products.calculations.label_pictures import picture
from products.calculations.label_rows import lines_of
from products.calculations.label_texts import LabelText
from products.calculations.qr_codes import INCH_MM, QUIET_MODULES, Matrix, qr_matrices

rl_config.useA85 = 0  # a file need not be plain ASCII; without that it is smaller and sooner made

POINTS = 72 / INCH_MM  # in a millimetre
CROSS_MM = 2.5
TICKS_MM = {10: 4.0, 5: 2.5, 1: 1.5}
HEADING_MM, TEXT_MM, FIGURE_MM = 4.5, 3.4, 2.4
RULER_MARGIN_MM = 5.0


def sheet_pdf(
    labels: Sequence[LabelText],
    grid: Grid,
    *,
    start: int = 1,
    calibration: Calibration = UNTOUCHED,
    title: str = "",
    code_side: str = "left",
) -> bytes:
    """Return labels on the pages of a grid as a PDF, from label `start` of the first page on.

    Places and sizes are in exact mm, to which the calibration is added. Raises GridError
    `start` when the sheet has no such label, `label-small` for labels too small to fill.
    """
    canvas = _canvas(grid, title)
    codes, page = _codes(labels), 0
    for label, place in zip(labels, positions(grid, len(labels), start, calibration), strict=True):
        if place.page > page:
            canvas.showPage()
            page = place.page
        matrix = codes[label.level][label.address]
        drawn = picture(
            label, grid.label_width_mm, grid.label_height_mm, code_side=code_side, matrix=matrix
        )
        _draw(canvas, drawn.items, grid, calibration, (place.x_mm, place.y_mm))
    canvas.showPage()
    return canvas.getpdfdata()


def _codes(labels: Sequence[LabelText]) -> dict[str, dict[str, Matrix]]:
    """Return the square codes of labels by level and address."""
    return {
        level: qr_matrices((each.address for each in labels if each.level == level), level)
        for level in {each.level for each in labels}
    }


def calibration_pdf(
    grid: Grid,
    instructions: Sequence[str],
    *,
    calibration: Calibration = UNTOUCHED,
    title: str = "",
) -> bytes:
    """Return a page with a cross at each corner of the labels and a ruler each way, as a PDF.

    Printed without a calibration it is what `calibration_from_measurement` asks to
    measure; printed with one it shows whether that was right. The instructions, in the
    reader's language, stand between the rulers, over which no cross is drawn.
    """
    canvas = _canvas(grid, title)
    items = [*_rulers(grid), *_instructions(grid, instructions), *_crosses(grid)]
    _draw(canvas, items, grid, calibration, calibration.place(0, 0))
    canvas.showPage()
    return canvas.getpdfdata()


def _canvas(grid: Grid, title: str) -> Canvas:
    size = (grid.page_width_mm * POINTS, grid.page_height_mm * POINTS)
    canvas = Canvas(BytesIO(), pagesize=size, invariant=1, pageCompression=1)
    canvas.setTitle(clean(title) or clean(grid.name))
    canvas.setAuthor("")
    canvas.setCreator("")
    for name in FILES:
        face(name)
    return canvas


def _draw(
    canvas: Canvas,
    items: Sequence[Item],
    grid: Grid,
    calibration: Calibration,
    at_mm: tuple[float, float],
) -> None:
    """Draw figures whose y runs downwards from a place on the page, in mm."""
    canvas.saveState()
    x_mm, y_mm = at_mm
    canvas.translate(x_mm * POINTS, (grid.page_height_mm - y_mm) * POINTS)
    canvas.scale(calibration.scale_x * POINTS, calibration.scale_y * POINTS)
    canvas.setLineWidth(HAIRLINE_MM)
    texts = [item for item in items if isinstance(item, Text)]
    for item in items:
        if not isinstance(item, Text):
            DRAW[type(item)](canvas, item)
    if texts:
        _draw_texts(canvas, texts)
    canvas.restoreState()


@lru_cache(maxsize=256)
def _colour(srgb: str) -> Color:
    return HexColor(srgb)


def _fill(canvas: Canvas, srgb: str) -> None:
    """Black and white stay plain grey, so that a printer takes black toner alone."""
    if srgb in {INK, PAPER}:
        canvas.setFillGray(srgb == PAPER)
    else:
        canvas.setFillColor(_colour(srgb))


def _draw_rect(canvas: Canvas, item: Rect) -> None:
    if item.fill:
        _fill(canvas, item.fill)
    bottom = -item.y_mm - item.height_mm
    canvas.rect(
        item.x_mm, bottom, item.width_mm, item.height_mm, bool(item.stroke), bool(item.fill)
    )


def _draw_line(canvas: Canvas, item: Line) -> None:
    canvas.line(item.x_mm, -item.y_mm, item.to_x_mm, -item.to_y_mm)


def _draw_polygon(canvas: Canvas, item: Polygon) -> None:
    path = canvas.beginPath()
    (x, y), *others = item.points_mm
    path.moveTo(x, -y)
    for x, y in others:
        path.lineTo(x, -y)
    path.close()
    _fill(canvas, item.fill)
    canvas.drawPath(path, 0, 1)


def _draw_texts(canvas: Canvas, items: Sequence[Text]) -> None:
    """Draw all text in one go, over everything else: many small goes take twice as long."""
    _fill(canvas, INK)
    drawn = canvas.beginText()
    for item in items:
        drawn.setFont(item.face, item.size_mm, leading=0)
        drawn.setTextOrigin(item.x_mm, -item.y_mm)
        drawn.textLine(item.text)
    canvas.drawText(drawn)


def _draw_qr(canvas: Canvas, item: Qr) -> None:
    """Draw all modules as one path, in which no seam shows between neighbours."""
    _fill(canvas, PAPER)
    canvas.rect(item.x_mm, -item.y_mm - item.side_mm, item.side_mm, item.side_mm, 0, 1)
    canvas.saveState()
    quiet_mm = QUIET_MODULES * item.module_mm
    canvas.translate(item.x_mm + quiet_mm, -item.y_mm - quiet_mm)
    canvas.scale(item.module_mm, item.module_mm)
    _fill(canvas, INK)
    canvas.addLiteral("\n".join(_dark_row(y, row) for y, row in enumerate(item.matrix)))
    canvas.addLiteral("f")
    canvas.restoreState()


def _dark_row(y: int, row: tuple[bool, ...]) -> str:
    """Return the dark stretches of a row of modules as rectangles of a path."""
    return " ".join([f"{x} {-y - 1} {length} 1 re" for x, length in stretches(row)])


DRAW = {
    Rect: _draw_rect,
    Line: _draw_line,
    Polygon: _draw_polygon,
    Qr: _draw_qr,
}


def _corner(grid: Grid) -> tuple[float, float]:
    """Return where the two rulers meet, so that they stand in the middle of the page."""
    across, down = ruler_lengths_mm(grid)
    return (grid.page_width_mm - across) / 2, (grid.page_height_mm - down) / 2


def _crosses(grid: Grid) -> Iterator[Line]:
    (left, top), (across, down) = _corner(grid), ruler_lengths_mm(grid)
    for x, y in sorted(set(_label_corners(grid))):
        beside = not -RULER_MARGIN_MM < x - left < across + RULER_MARGIN_MM
        if beside or not -RULER_MARGIN_MM < y - top < down + RULER_MARGIN_MM:
            yield Line(x - CROSS_MM, y, x + CROSS_MM, y)
            yield Line(x, y - CROSS_MM, x, y + CROSS_MM)


def _label_corners(grid: Grid) -> Iterator[tuple[float, float]]:
    for place in positions(grid, grid.capacity):
        for x in (place.x_mm, place.x_mm + grid.label_width_mm):
            for y in (place.y_mm, place.y_mm + grid.label_height_mm):
                yield round(x, 4), round(y, 4)


def _rulers(grid: Grid) -> Iterator[Item]:
    (left, top), (across, down) = _corner(grid), ruler_lengths_mm(grid)
    yield Line(left, top, left + across, top)
    yield Line(left, top, left, top + down)
    for at in range(across + 1):
        yield Line(left + at, top, left + at, top + _tick(at))
    for at in range(down + 1):
        yield Line(left, top + at, left + _tick(at), top + at)
    longest = TICKS_MM[RULER_STEP_MM]
    yield _figure(across, left + across, top + longest + FIGURE_MM, shift=-0.5)
    yield _figure(down, left + longest + 1, top + down + CAP_HEIGHT * FIGURE_MM / 2)


def _figure(length: int, x: float, y: float, shift: float = 0) -> Text:
    text = f"{length} mm"
    width = FIGURE_MM * width_em(text, PLAIN)
    return Text(x + shift * width, y, text, PLAIN, FIGURE_MM, width)


def _tick(at: int) -> float:
    return next(length for step, length in TICKS_MM.items() if at % step == 0)


def _instructions(grid: Grid, instructions: Sequence[str]) -> Iterator[Item]:
    """Yield the lines of text between the rulers, as many as there is room for."""
    (left, top), (across, down) = _corner(grid), ruler_lengths_mm(grid)
    inset = 2 * TICKS_MM[RULER_STEP_MM]
    x, y, bottom = left + inset, top + inset, top + down
    wishes = [(grid.name, STRONG, HEADING_MM), *((t, PLAIN, TEXT_MM) for t in instructions)]
    for text, name, size in wishes:
        fitted = fit_text(clean(text), name, across - inset, size, size, most_lines=6)
        height = len(fitted.lines) * LINE * size
        if y + height <= bottom:
            yield from (moved(item, x, y) for item in lines_of(fitted, name))
            y += height + size / 2
