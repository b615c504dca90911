"""How a label looks: one drawing in millimetres, for any size of label.

Text is as large as the label allows. The rows share one scale; the largest at which all
of them fit is taken, so a label with little to say says it large.
"""

from dataclasses import dataclass, replace

from products.calculations.label_drawing import Item, Line, Qr, Text, moved
from products.calculations.label_fonts import MONO, width_em
from products.calculations.label_plans import FOOT_LINE, Frame, plan
from products.calculations.label_rows import Row, rows
from products.calculations.label_texts import LabelText
from products.calculations.qr_codes import Matrix, module_note, module_size_mm, qr_matrix
from products.calculations.ranges import RangeNote

SCALES = tuple(0.6 * 1.09**step for step in range(15))  # up to 2
GAP_MM = 0.35  # between rows, at scale 1
LARGEST_GAP_MM = 1.6
MOST_TELLING = ("mark", "title", "colour", "head", "strip", "run", "line", "address")
CODE_SHARE = 0.45  # of the column of text, where the code to read stands in it
READABLE_MM = 2.6  # size of a code on one line, below which its groups are stacked
TAIL = 0.12  # of the size, below the base line: the tail of a Q


@dataclass(frozen=True)
class Picture:
    """A drawn label (mm), what to know about it, and what had to be left out or cut."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    notes: tuple[RangeNote, ...] = ()
    left_out: tuple[str, ...] = ()
    cut: tuple[str, ...] = ()


def picture(
    label: LabelText,
    width_mm: float,
    height_mm: float,
    *,
    code_side: str = "left",
    matrix: Matrix | None = None,
) -> Picture:
    """Return the drawing of a label of a size in mm, its square code at the left or the right.

    Where there is no room for all rows, those a scan would tell anyway go first; they are
    named in `left_out`. Who draws many hands over the modules of each code. Raises GridError
    `label-small` below 15 mm either way.
    """
    matrix = matrix or qr_matrix(label.address, label.level)
    planned = plan(width_mm, height_mm, len(matrix), code_side=code_side)
    module_mm = module_size_mm(planned.square.width_mm, len(matrix))
    square = Qr(planned.square.x_mm, planned.square.y_mm, module_mm, matrix)
    if planned.foot:
        code, frame = _on_foot(label.groups, planned.foot), planned.text
    else:
        code, frame = _in_column(label.groups, planned.text)
    kept, left_out = _chosen(label, frame)
    note = module_note(module_mm)
    return Picture(
        width_mm,
        height_mm,
        (square, *code, *_placed(kept, frame)),
        (note,) if note else (),
        left_out,
        tuple(row.name for row in kept if row.cut),
    )


def _on_foot(groups: str, foot: Frame) -> list[Item]:
    """Return the code over the whole width of the foot, under a hairline."""
    size_mm = foot.height_mm / FOOT_LINE
    base_mm = foot.y_mm + foot.height_mm - TAIL * size_mm
    items: list[Item] = [Line(foot.x_mm, foot.y_mm, foot.x_mm + foot.width_mm, foot.y_mm)]
    texts = groups.split()
    for number, text in enumerate(texts):
        width_mm = size_mm * width_em(text, MONO)
        left_mm = foot.x_mm + (foot.width_mm - width_mm) * number / (len(texts) - 1)
        items.append(Text(left_mm, base_mm, text, MONO, size_mm, width_mm))
    return items


def _in_column(groups: str, column: Frame) -> tuple[list[Item], Frame]:
    """Return the code at the end of a column of text, and the room above it."""
    one_mm = min(column.width_mm / width_em(groups, MONO), CODE_SHARE * column.height_mm)
    lines = [groups] if one_mm >= READABLE_MM else groups.split()
    size_mm = min(
        column.width_mm / width_em(lines[0], MONO), CODE_SHARE * column.height_mm / len(lines)
    )
    bottom_mm = column.y_mm + column.height_mm
    top_mm = bottom_mm - len(lines) * size_mm
    items: list[Item] = [Line(column.x_mm, top_mm, column.x_mm + column.width_mm, top_mm)]
    for number, line in enumerate(lines, 1):
        base_mm = top_mm + (number - TAIL) * size_mm
        items.append(
            Text(column.x_mm, base_mm, line, MONO, size_mm, size_mm * width_em(line, MONO))
        )
    return items, replace(column, height_mm=top_mm - column.y_mm)


def _chosen(label: LabelText, frame: Frame) -> tuple[list[Row], tuple[str, ...]]:
    """Return the rows at the largest scale at which they fit, and the names of those that cannot.

    A scale is too large as well when it cuts what the smallest one does not.
    """
    best: list[Row] = []
    fits, too_large = -1, len(SCALES)
    while too_large - fits > 1:
        tried = (fits + too_large) // 2
        made = rows(label, frame.width_mm, SCALES[tried])
        within = _height(made, SCALES[tried]) <= frame.height_mm
        if within and not _cuts_more(made, label, frame):
            fits, best = tried, made
        else:
            too_large = tried
    return (best, ()) if fits >= 0 else _shortest(label, frame)


def _cuts_more(made: list[Row], label: LabelText, frame: Frame) -> bool:
    cut = {row.name for row in made if row.cut}
    smallest = rows(label, frame.width_mm, SCALES[0]) if cut else []
    return not cut <= {row.name for row in smallest if row.cut}


def _height(made: list[Row], scale: float) -> float:
    return sum(row.height_mm for row in made) + GAP_MM * scale * (len(made) - 1)


def _shortest(label: LabelText, frame: Frame) -> tuple[list[Row], tuple[str, ...]]:
    """Return what there is room for, with a title on as many lines as leave it a place."""
    for title_lines in (3, 2, 1):
        made = rows(label, frame.width_mm, SCALES[0], title_lines=title_lines)
        kept, left_out = _most_telling(made, frame)
        if "title" not in left_out:
            break
    return kept, left_out


def _most_telling(made: list[Row], frame: Frame) -> tuple[list[Row], tuple[str, ...]]:
    """Return the rows there is room for, taken by what they tell, and the names of the others."""
    kept: list[Row] = []
    for row in sorted(made, key=lambda row: MOST_TELLING.index(row.name)):
        if _height([*kept, row], SCALES[0]) <= frame.height_mm:
            kept.append(row)
    left_out = tuple(row.name for row in made if row not in kept)
    return [row for row in made if row in kept], left_out


def _placed(made: list[Row], frame: Frame) -> list[Item]:
    """Return the rows one below the other, what room is left shared out between them."""
    free_mm = frame.height_mm - sum(row.height_mm for row in made)
    gap_mm = min(LARGEST_GAP_MM, free_mm / max(1, len(made)))
    items, top_mm = [], frame.y_mm
    for row in made:
        items += [moved(item, frame.x_mm, top_mm) for item in row.items]
        top_mm += row.height_mm + gap_mm
    return items
