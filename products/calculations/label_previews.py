"""The first page of a sheet of labels as a picture for the screen, with the geometry of its PDF."""

from collections.abc import Iterator, Sequence

from products.calculations.label_drawing import HAIRLINE_MM, INK, PAPER
from products.calculations.label_geometry import Grid, Position, check_start, positions
from products.calculations.label_images import SVG, mm
from products.calculations.label_pictures import picture
from products.calculations.label_texts import LabelText

EDGE = "#8b8d89"
USED = "#d9d7d0"
CORNER_MM = 1.5


def sheet_svg(labels: Sequence[LabelText], grid: Grid, *, start: int = 1) -> str:
    """Return the first page of labels on a grid as an SVG in millimetres, without a calibration.

    Labels before `start` are shown as used, those after the last as free. Raises GridError
    `start` when the sheet has no such label, `label-small` for labels too small to fill.
    """
    check_start(grid, start)
    places = list(positions(grid, grid.capacity))
    shown = labels[: grid.capacity - start + 1]
    drawn = [_outline(grid, place, used=number < start) for number, place in enumerate(places, 1)]
    for label, place in zip(shown, places[start - 1 :], strict=False):
        drawn.append("".join(_label(label, grid, place)))
    width, height = mm(grid.page_width_mm), mm(grid.page_height_mm)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}"><rect width="{width}" height="{height}" fill="{PAPER}"/>'
        f"{''.join(drawn)}</svg>"
    )


def _outline(grid: Grid, place: Position, *, used: bool) -> str:
    size = f'width="{mm(grid.label_width_mm)}" height="{mm(grid.label_height_mm)}"'
    return (
        f'<rect x="{mm(place.x_mm)}" y="{mm(place.y_mm)}" {size} '
        f'rx="{CORNER_MM}" fill="{USED if used else "none"}" stroke="{EDGE}" '
        f'stroke-width="{HAIRLINE_MM}"/>'
    )


def _label(label: LabelText, grid: Grid, place: Position) -> Iterator[str]:
    drawn = picture(label, grid.label_width_mm, grid.label_height_mm)
    yield f'<g transform="translate({mm(place.x_mm)} {mm(place.y_mm)})" fill="{INK}">'
    yield from (SVG[type(item)](item) for item in drawn.items)
    yield "</g>"
