"""Where labels lie on a sheet, in millimetres from the page's top left corner.

A grid is a die-cut sheet; a roll is a grid of one label that fills its page. A
calibration is what a printer needs added to print true: a place is multiplied by the
scale, then moved by the offset, each direction on its own.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from math import ceil, isfinite

SLACK_MM = 0.01
LONGEST_PAGE_MM = 2000.0
MOST_LABELS = 50  # in a row or a column
OFFSET_MM = (-20.0, 20.0)
SCALE = (0.9, 1.1)
RULER_STEP_MM = 10
RULER_MM = 100


class GridError(ValueError):
    """A grid, a start position or a calibration that no sheet can have.

    `code` names the rule; `part` names the figure or the direction that broke it.
    """

    def __init__(self, code: str, part: str = ""):
        super().__init__(code, part)
        self.code = code
        self.part = part


@dataclass(frozen=True)
class Grid:
    """Labels in rows and columns on a page, all in mm; names are free text.

    Raises GridError: `grid-name` when empty, `grid-figure` for what is no size,
    `grid-count` for too few or too many, `grid-page` when labels leave the page.
    """

    name: str
    page_width_mm: float
    page_height_mm: float
    columns: int
    rows: int
    margin_left_mm: float
    margin_top_mm: float
    gap_x_mm: float
    gap_y_mm: float
    label_width_mm: float
    label_height_mm: float

    def __post_init__(self):
        if not self.name.strip():
            raise GridError("grid-name", "name")
        self._check_figures()
        if self.right_mm > self.page_width_mm + SLACK_MM:
            raise GridError("grid-page", "width")
        if self.bottom_mm > self.page_height_mm + SLACK_MM:
            raise GridError("grid-page", "height")

    def _check_figures(self):
        for name in ("columns", "rows"):
            if getattr(self, name) not in range(1, MOST_LABELS + 1):
                raise GridError("grid-count", name)
        for field in fields(self):
            if field.name.endswith("_mm") and not _is_size(field.name, getattr(self, field.name)):
                raise GridError("grid-figure", field.name)

    @property
    def capacity(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    @property
    def pitch_x_mm(self) -> float:
        """From the left edge of a label to that of the next."""
        return self.label_width_mm + self.gap_x_mm

    @property
    def pitch_y_mm(self) -> float:
        """From the top edge of a label to that of the one below."""
        return self.label_height_mm + self.gap_y_mm

    @property
    def right_mm(self) -> float:
        """The right edge of the last column."""
        return self.margin_left_mm + self.columns * self.pitch_x_mm - self.gap_x_mm

    @property
    def bottom_mm(self) -> float:
        """The bottom edge of the last row."""
        return self.margin_top_mm + self.rows * self.pitch_y_mm - self.gap_y_mm


def _is_size(name: str, value: float) -> bool:
    least = 0 if name.startswith(("margin", "gap")) else SLACK_MM
    return isfinite(value) and least <= value <= LONGEST_PAGE_MM


@dataclass(frozen=True)
class Calibration:
    """What is added to print true: place x scale + offset (mm), from the page's top left.

    Raises GridError `calibration` for an offset beyond 20 mm or a scale beyond 10 %:
    that is another paper or a "fit to page" setting, which no offset mends.
    """

    offset_x_mm: float = 0.0
    offset_y_mm: float = 0.0
    scale_x: float = 1.0
    scale_y: float = 1.0

    def __post_init__(self):
        for field in fields(self):
            low, high = OFFSET_MM if field.name.startswith("offset") else SCALE
            if not low <= getattr(self, field.name) <= high:
                raise GridError("calibration", field.name)

    def place(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return where to draw what shall be printed at a place."""
        return x_mm * self.scale_x + self.offset_x_mm, y_mm * self.scale_y + self.offset_y_mm


@dataclass(frozen=True)
class Position:
    """The top left corner of one label: its page, counted from 0, and its place (mm)."""

    page: int
    x_mm: float
    y_mm: float


UNTOUCHED = Calibration()


def roll(name: str, width_mm: float, height_mm: float) -> Grid:
    """Return the grid of a roll: one label on a page of its own size (mm)."""
    return Grid(name, width_mm, height_mm, 1, 1, 0, 0, 0, 0, width_mm, height_mm)


def positions(
    grid: Grid, count: int, start: int = 1, calibration: Calibration = UNTOUCHED
) -> Iterator[Position]:
    """Return where each of `count` labels is drawn, row after row.

    `start` is the first free label of a part-used sheet, counted from 1 at the top
    left. Raises GridError `start` when the sheet has no such label.

    >>> grid = roll("57 x 32 mm", 57, 32)
    >>> [position.page for position in positions(grid, 3)]
    [0, 1, 2]
    """
    check_start(grid, start)
    return (_position(grid, place, calibration) for place in range(start - 1, start - 1 + count))


def check_start(grid: Grid, start: int) -> None:
    """Raise GridError `start` unless a sheet has a label with this number, counted from 1."""
    if start not in range(1, grid.capacity + 1):
        raise GridError("start", "start")


def _position(grid: Grid, place: int, calibration: Calibration) -> Position:
    page, on_page = divmod(place, grid.capacity)
    row, column = divmod(on_page, grid.columns)
    x_mm = grid.margin_left_mm + column * grid.pitch_x_mm
    y_mm = grid.margin_top_mm + row * grid.pitch_y_mm
    return Position(page, *calibration.place(x_mm, y_mm))


def pages(grid: Grid, count: int, start: int = 1) -> int:
    """Return how many pages `count` labels take, the first from label `start` on.

    >>> pages(roll("57 x 32 mm", 57, 32), 3)
    3
    """
    check_start(grid, start)
    return ceil((start - 1 + count) / grid.capacity) if count else 0


def ruler_lengths_mm(grid: Grid) -> tuple[int, int]:
    """Return the lengths of the calibration page's rulers in mm, across and down.

    They are 100 mm, or on a small page the longest whole 10 mm that leave a tenth free.

    >>> ruler_lengths_mm(roll("57 x 32 mm", 57, 32))
    (50, 20)
    """
    free = (0.9 * grid.page_width_mm, 0.9 * grid.page_height_mm)
    across, down = (int(min(RULER_MM, side) // RULER_STEP_MM) * RULER_STEP_MM for side in free)
    return across, down


def calibration_from_measurement(
    grid: Grid, *, across_mm: float, down_mm: float, left_mm: float, top_mm: float
) -> Calibration:
    """Return the calibration of a printer from its printed, uncalibrated calibration page.

    Measured on paper in mm: the two rulers, and how far the first label's top left
    cross lies from the left and the top edge of the sheet. A printer that puts x at
    a x + b is mended by drawing (x - b) / a. Raises GridError `calibration` for
    measurements that no printer explains.

    >>> sheet = Grid("A5", 148, 210, 1, 1, 10, 20, 0, 0, 100, 100)
    >>> calibration_from_measurement(sheet, across_mm=100, down_mm=100, left_mm=9, top_mm=21)
    Calibration(offset_x_mm=1.0, offset_y_mm=-1.0, scale_x=1.0, scale_y=1.0)
    """
    across, down = ruler_lengths_mm(grid)
    offset_x_mm, scale_x = _mended(across_mm, across, left_mm, grid.margin_left_mm, "scale_x")
    offset_y_mm, scale_y = _mended(down_mm, down, top_mm, grid.margin_top_mm, "scale_y")
    return Calibration(offset_x_mm, offset_y_mm, scale_x, scale_y)


def _mended(
    ruler_mm: float, true_ruler_mm: float, edge_mm: float, true_edge_mm: float, part: str
) -> tuple[float, float]:
    if not (isfinite(ruler_mm) and ruler_mm > 0 and true_ruler_mm):
        raise GridError("calibration", part)
    stretch = ruler_mm / true_ruler_mm
    shift_mm = edge_mm - stretch * true_edge_mm
    return round(-shift_mm / stretch, 4), round(1 / stretch, 6)


SAMPLE_GRIDS = (
    Grid("A4, 3 x 8, 63.5 x 33.9 mm", 210, 297, 3, 8, 7.25, 12.9, 2.5, 0, 63.5, 33.9),
    Grid("A4, 2 x 4, 99.1 x 67.7 mm", 210, 297, 2, 4, 4.65, 13.1, 2.5, 0, 99.1, 67.7),
    Grid("A4, 5 x 13, 38.1 x 21.2 mm", 210, 297, 5, 13, 4.75, 10.7, 2.5, 0, 38.1, 21.2),
    roll("Roll, 57 x 32 mm", 57, 32),
    roll("Roll, 62 x 29 mm", 62, 29),
    roll("Roll, 100 x 150 mm", 100, 150),
)
