"""The search for a nested plan: strips of a sheet's width are filled by spyrrow, one sheet after another.

The search goes by the clock, so the same question may have another answer the next time: an
answer that is used has to be kept, with how long was searched. (spyrrow knows a seed and a
number of workers, both fixed here, but no number of steps: it searches until its seconds are over.)
Each shape is grown by half a kerf, and so is the strip, so grown shapes that touch are a kerf
apart. What a strip holds beyond the end of its sheet goes to the next sheet; then the sheet is
filled again with a little more, while time is left.
"""

from collections import Counter
from dataclasses import dataclass
from math import ceil

import spyrrow

from products.calculations.cut_plans import UM_PER_MM, CutPlanError, Stock, usable
from products.calculations.nestings import (
    MITRE,
    TOUCH_UM,
    TURNS,
    Nested,
    NestedPart,
    NestedSheet,
    NestQuestion,
    Shape,
    check_nesting,
    faults_of,
)

MOST_SECONDS, USUAL_SECONDS, LEAST_SECONDS = 15, 8, 1
EASE_UM = 20  # shapes are grown by so much less, for what fits exactly; within what is verified
MOST_NESTED_SHEETS = 10
FREE_STEPS = 180  # a shape that turns freely is tried so often whether it fits at all
FILLS = (0.92, 0.8, 0.65)  # of a sheet's area is tried, what is left over has to wait
ENOUGH_TRIES = 3
PROGRAM = f"spyrrow {spyrrow.__version__}"
SEED = 1
SUMS = 500  # so many sums of areas are told apart


@dataclass
class _Budget:
    """Seconds for all sheets together; each try takes a third of what is left, at least one."""

    left_s: int

    def spent(self) -> int:
        """Take the seconds of one try."""
        found = max(LEAST_SECONDS, self.left_s // ENOUGH_TRIES)
        self.left_s = max(0, self.left_s - found)
        return found


def nest(question: NestQuestion, seconds: int = USUAL_SECONDS) -> Nested:
    """Return a verified plan after about so many seconds, and one more for each sheet; ten at most.

    Raises CutPlanError for what `check_nesting` refuses, `not-nested` where the search breaks
    off, and `not-verified` where its answer fails the check.
    """
    check_nesting(question)
    left = [shape.count for shape in question.shapes]
    sheets, budget = [], _Budget(seconds)
    for stock, code in _in_turn(question):
        if len(sheets) == MOST_NESTED_SHEETS:
            break
        fits = [at for at, count in enumerate(left) if count and _fits(question, at, stock)]
        if not fits:
            continue
        placed = _filled(question, stock, {at: left[at] for at in fits}, budget)
        for each in placed:
            left[each.shape] -= 1
        sheets.append(NestedSheet(stock, code, tuple(placed)))
    missing = tuple((at, count) for at, count in enumerate(left) if count)
    nested = Nested(question, tuple(sheets), missing)
    if faults_of(nested):
        raise CutPlanError("not-verified")
    return nested


def _in_turn(question: NestQuestion):
    """Yield each sheet with its code: pieces before whole sheets, the smaller first among pieces."""
    for stock in sorted(question.stock, key=lambda each: (not each.is_piece, each.area_um2)):
        codes = iter(stock.codes)
        for _number in range(stock.count):
            yield stock, next(codes, "")


def _fits(question: NestQuestion, at: int, stock: Stock) -> bool:
    """Return whether a shape fits onto an empty sheet in one of the ways it may be turned."""
    return bool(_alone(question, stock, at))


def _filled(
    question: NestQuestion, stock: Stock, wanted: dict[int, int], budget: _Budget
) -> list[NestedPart]:
    """Return the best filling of one sheet that was found: the most area, of some tries."""
    best, best_um2 = [], -1
    for chosen in _choices(question, stock, wanted):
        if best_um2 >= 0 and not budget.left_s:
            break
        placed = _on_sheet(question, stock, chosen, budget.spent())
        area_um2 = sum(each.outline.area_um2 for each in placed)
        if area_um2 > best_um2:
            best, best_um2 = placed, area_um2
        if len(best) == sum(wanted.values()):
            break
    if not best:
        best = _alone(question, stock, next(iter(wanted)))
    if len(best) == sum(wanted.values()) and budget.left_s:
        best = _pushed(question, stock, best, budget)
    return sorted(best, key=lambda each: each.outline.bounds)


def _pushed(
    question: NestQuestion, stock: Stock, best: list[NestedPart], budget: _Budget
) -> list[NestedPart]:
    """Return the last sheet searched again with the time that is left, so that more of it stays whole."""
    chosen = dict(Counter(each.shape for each in best))
    again = _on_sheet(question, stock, chosen, budget.left_s)
    budget.left_s = 0
    is_whole = len(again) == len(best)
    return min(best, again, key=_right_end) if is_whole else best


def _right_end(placed: list[NestedPart]) -> int:
    return max(each.outline.bounds[2] for each in placed)


def _choices(question: NestQuestion, stock: Stock, wanted: dict[int, int]):
    """Yield what is tried on a sheet: all that could go by area, then less, each only once."""
    room_um2 = usable(stock, question.saw).area_um2
    tried = set()
    for fill in (1.0, *FILLS):
        for choose in (_fullest, _largest):
            chosen = choose(question, wanted, ceil(room_um2 * fill))
            key = tuple(sorted(chosen.items()))
            if chosen and key not in tried:
                tried.add(key)
                yield chosen


def _fullest(question: NestQuestion, wanted: dict[int, int], most_um2: int) -> dict[int, int]:
    """Return the shapes whose areas sum up closest to an area, not above it; near sums count as one."""
    unit_um2 = max(1, most_um2 // SUMS)
    reached = {0: (0, ())}
    for at in sorted(wanted, key=lambda each: -question.shapes[each].outline.area_um2):
        area_um2 = question.shapes[at].outline.area_um2
        for _number in range(wanted[at]):
            for summed, chosen in list(reached.values()):
                more = summed + area_um2
                slot = more // unit_um2
                if more <= most_um2 and reached.get(slot, (0, ()))[0] < more:
                    reached[slot] = (more, (*chosen, at))
    return dict(Counter(max(reached.values())[1]))


def _largest(question: NestQuestion, wanted: dict[int, int], most_um2: int) -> dict[int, int]:
    """Return as many shapes as an area takes, the largest first."""
    chosen, left_um2 = {}, most_um2
    for at in sorted(wanted, key=lambda each: -question.shapes[each].outline.area_um2):
        area_um2 = question.shapes[at].outline.area_um2
        count = min(wanted[at], left_um2 // area_um2)
        if count:
            chosen[at], left_um2 = count, left_um2 - count * area_um2
    return chosen


def _on_sheet(
    question: NestQuestion, stock: Stock, chosen: dict[int, int], seconds: int
) -> list[NestedPart]:
    """Return what of the shapes chosen lies on the sheet when they fill a strip of its width."""
    room, kerf_um = usable(stock, question.saw), question.saw.kerf_um
    items = [_item(question.shapes[at], at, count, kerf_um) for at, count in chosen.items()]
    height = (room.width_um + kerf_um) / UM_PER_MM
    config = spyrrow.StripPackingConfig(total_computation_time=seconds, num_workers=1, seed=SEED)
    solution = _solved(spyrrow.StripPackingInstance("sheet", height, items), config)
    placed = [_part(question, room, each) for each in solution.placed_items]
    return [each for each in placed if _is_on(each, room)]


def _item(shape: Shape, at: int, count: int, kerf_um: int) -> spyrrow.Item:
    """Return a shape grown by half a kerf, its corners kept."""
    grown = shape.outline.polygon.buffer(kerf_um / 2 - EASE_UM, **MITRE)
    if grown.geom_type != "Polygon":  # a neck thinner than the ease
        grown = shape.outline.polygon
    points = [(x / UM_PER_MM, y / UM_PER_MM) for x, y in list(grown.exterior.coords)[:-1]]
    angles = TURNS[shape.turn]
    return spyrrow.Item(
        str(at), points, count, None if angles is None else list(map(float, angles))
    )


def _solved(instance, config):
    """Return the solution; the search breaks off by an error of its own kind, which is no Exception."""
    try:
        return instance.solve(config)
    except BaseException as error:
        if isinstance(error, (KeyboardInterrupt, SystemExit)):
            raise
        raise CutPlanError("not-nested") from error


def _part(question: NestQuestion, room, placed) -> NestedPart:
    """Return a part on its sheet, where its grown shape lies in the strip."""
    at, half = int(placed.id), question.saw.kerf_um / 2
    angles = TURNS[question.shapes[at].turn]
    angle = placed.rotation % 360
    if angles is not None:
        angle = min(angles, key=lambda each: abs((placed.rotation - each + 180) % 360 - 180))
    dx, dy = (each * UM_PER_MM for each in placed.translation)
    outline = question.shapes[at].outline
    found = outline.placed(angle, dx - half + room.x_um, dy - half + room.y_um)
    return NestedPart(at, angle, found)


def _is_on(part: NestedPart, room) -> bool:
    left, low, right, top = part.outline.bounds
    return (
        left >= room.x_um - TOUCH_UM
        and low >= room.y_um - TOUCH_UM
        and right <= room.right_um + TOUCH_UM
        and top <= room.top_um + TOUCH_UM
    )


def _alone(question: NestQuestion, stock: Stock, at: int) -> list[NestedPart]:
    """Return one shape in the lower left corner of a sheet, or nothing where it does not fit."""
    room = usable(stock, question.saw)
    shape = question.shapes[at]
    angles = TURNS[shape.turn] or [each * 180 / FREE_STEPS for each in range(FREE_STEPS)]
    for angle in angles:
        left, low, right, top = shape.outline.placed(angle, 0, 0).bounds
        if right - left <= room.length_um and top - low <= room.width_um:
            return [
                NestedPart(
                    at, angle, shape.outline.placed(angle, room.x_um - left, room.y_um - low)
                )
            ]
    return []
