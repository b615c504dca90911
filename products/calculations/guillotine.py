"""Cut plans for a panel saw: every cut goes through a piece from edge to edge.

Parts are put into the corners of free pieces, one after the other; the pieces around them are
parted by one or two cuts. That is done in many orders and by several rules, and the best plan
is kept: no part missing first, then the least area of whole sheets, of pieces, the largest
offcut, the shortest cuts. Nothing depends on time: the same question has the same answer.
"""

from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product
from random import Random

from products.calculations.cut_plans import (
    ACROSS,
    ALONG,
    Box,
    Cut,
    CutPlan,
    Part,
    Placed,
    Question,
    SawnSheet,
    Stock,
    check_question,
    usable,
)

MOST_LOOKS = 60_000  # how many free pieces are looked at, over all tries
LOOKS_OF_A_PART = 10  # what else a part costs, told in looks
SPLITS = ("across", "along", "large", "even")
FITS = ("area", "side")
ORDERS = (
    lambda part: -part.area_um2,
    lambda part: -max(part.length_um, part.width_um),
    lambda part: (-part.width_um, -part.length_um),
    lambda part: (-part.length_um, -part.width_um),
)


@dataclass
class _Sheet:
    """A sheet being filled: what is free of it, and the cuts by the piece that they part."""

    stock: Stock
    free: list[Box]
    rest: list[Box] = field(default_factory=list)  # too narrow for any part
    cuts: dict[Box, Cut] = field(default_factory=dict)
    trims: list[Box] = field(default_factory=list)
    placed: list[Placed] = field(default_factory=list)


@dataclass
class _Try:
    """One way of going about it: the order of the parts, the rules, and the sheets so far."""

    question: Question
    fit: str
    split: str
    left: list[int]
    narrowest_um: int
    sheets: list[_Sheet] = field(default_factory=list)
    missing: dict[int, int] = field(default_factory=dict)
    looks: int = 0


@lru_cache(maxsize=32)
def plan_guillotine(question: Question, most_looks: int = MOST_LOOKS) -> CutPlan:
    """Return the best plan found for a panel saw; raises CutPlanError for what is too large or empty.

    `most_looks` says how long to go on; at least one way is always tried to its end.
    """
    check_question(question)
    wanted = [index for index, part in enumerate(question.parts) for _n in range(part.count)]
    narrowest = min(min(part.length_um, part.width_um) for part in question.parts)
    best, looks = None, 0
    for order, fit, split in _ways(question, wanted):
        tried = _Try(question, fit, split, [each.count for each in question.stock], narrowest)
        _fill(tried, order)
        looks += tried.looks + LOOKS_OF_A_PART * len(wanted)
        rank = _rank(tried)
        if best is None or rank < best[0]:
            best = (rank, tried)
        if looks > most_looks:
            break
    return _finished(best[1])


def _ways(question: Question, wanted: list[int]):
    """Yield orders of the wanted parts with rules: the plain ones, then shuffled ones without end."""
    parts = question.parts
    for by, fit, split in product(ORDERS, FITS, SPLITS):
        yield sorted(wanted, key=lambda index, by=by: (by(parts[index]), index)), fit, split
    chance = Random(1)  # noqa: S311 (the same for every question, so that answers repeat)
    while True:
        weights = [part.area_um2 * (0.3 + chance.random()) for part in parts]
        order = sorted(wanted, key=lambda index, weights=weights: (-weights[index], index))
        if chance.random() < 1 / 2:
            chance.shuffle(order)
        yield order, chance.choice(FITS), chance.choice(SPLITS)


def _fill(tried: _Try, order: list[int]) -> None:
    for index in order:
        part = tried.question.parts[index]
        if index in tried.missing or not (_place(tried, part) or _place_on_new(tried, part)):
            tried.missing[index] = tried.missing.get(index, 0) + 1


def _place(tried: _Try, part: Part, first: int = 0) -> bool:
    """Put a part where it fits best on the sheets begun; return whether it fits at all."""
    best = None
    for number in range(first, len(tried.sheets)):
        free = tried.sheets[number].free
        tried.looks += len(free)
        for slot, box in enumerate(free):
            for is_turned, length, width in _ways_round(part):
                if length <= box.length_um and width <= box.width_um:
                    score = (_score(tried.fit, box, length, width), number, slot, is_turned)
                    best = score if best is None or score < best else best
    if best is None:
        return False
    _score_found, number, slot, is_turned = best
    _cut_out(tried, tried.sheets[number], slot, part, is_turned=is_turned)
    return True


def _ways_round(part: Part):
    yield False, part.length_um, part.width_um
    if part.may_turn and part.length_um != part.width_um:
        yield True, part.width_um, part.length_um


def _score(fit: str, box: Box, length: int, width: int) -> int:
    if fit == "area":
        return box.area_um2 - length * width
    return min(box.length_um - length, box.width_um - width)


def _place_on_new(tried: _Try, part: Part) -> bool:
    """Begin the smallest sheet that the part fits onto, pieces before whole sheets."""
    stock = tried.question.stock
    order = sorted(
        range(len(stock)), key=lambda at: (not stock[at].is_piece, stock[at].area_um2, at)
    )
    for at in order:
        room = usable(stock[at], tried.question.saw)
        fits = any(
            length <= room.length_um and width <= room.width_um
            for _turned, length, width in _ways_round(part)
        )
        if tried.left[at] and fits:
            tried.left[at] -= 1
            tried.sheets.append(_begun(stock[at], tried.question))
            return _place(tried, part, len(tried.sheets) - 1)
    return False


def _begun(stock: Stock, question: Question) -> _Sheet:
    """Return a sheet with its margin trimmed off: left, right, lower, upper edge."""
    whole = Box(0, 0, stock.length_um, stock.width_um)
    sheet = _Sheet(stock, [])
    kerf_um = question.saw.kerf_um
    margin_um = 0 if stock.is_piece else question.saw.margin_um
    room = whole
    if margin_um:
        near = max(0, margin_um - kerf_um)
        for axis, end in ((ACROSS, stock.length_um), (ALONG, stock.width_um)):
            first = _parted(room, axis, near, margin_um, is_trim=True)
            far = end - margin_um
            second = _parted(first.high, axis, far, min(end, far + kerf_um), is_trim=True)
            sheet.cuts |= {room: first, first.high: second}
            sheet.trims += [box for box in (first.low, second.high) if box]
            room = second.low
    sheet.free = [room]
    return sheet


def _parted(piece: Box, axis: str, start: int, end: int, *, is_trim: bool = False) -> Cut:
    """Return the cut of a piece whose kerf lies from start to end along x or y."""
    if axis == ACROSS:
        low = Box(piece.x_um, piece.y_um, start - piece.x_um, piece.width_um)
        high = Box(end, piece.y_um, piece.right_um - end, piece.width_um)
    else:
        low = Box(piece.x_um, piece.y_um, piece.length_um, start - piece.y_um)
        high = Box(piece.x_um, end, piece.length_um, piece.top_um - end)
    sides = [box if box.area_um2 else None for box in (low, high)]
    return Cut(piece, axis, start, end, *sides, is_trim=is_trim)


def _cut_out(tried: _Try, sheet: _Sheet, slot: int, part: Part, *, is_turned: bool) -> None:
    """Cut a part out of the lower left corner of a free piece."""
    box = sheet.free.pop(slot)
    length, width = part.length_um, part.width_um
    if is_turned:
        length, width = width, length
    kerf_um = tried.question.saw.kerf_um
    for axis in _axes(tried.split, box, length, width):
        start = box.x_um + length if axis == ACROSS else box.y_um + width
        end = box.right_um if axis == ACROSS else box.top_um
        if start == end:
            continue
        cut = _parted(box, axis, start, min(end, start + kerf_um))
        sheet.cuts[box] = cut
        if cut.high:
            is_narrow = min(cut.high.length_um, cut.high.width_um) < tried.narrowest_um
            (sheet.rest if is_narrow else sheet.free).append(cut.high)
        box = cut.low
    sheet.placed.append(Placed(part, box, is_turned))


def _axes(split: str, box: Box, length: int, width: int) -> tuple[str, str]:
    """Return which of the two cuts comes first."""
    right_um2 = (box.length_um - length) * box.width_um
    upper_um2 = (box.width_um - width) * box.length_um
    is_across = {
        "across": True,
        "along": False,
        "large": right_um2 >= upper_um2,
        "even": right_um2 < upper_um2,
    }[split]
    return (ACROSS, ALONG) if is_across else (ALONG, ACROSS)


def _rank(tried: _Try) -> tuple:
    question, sheets = tried.question, tried.sheets
    rests = [box for each in sheets for box in each.free + each.rest]
    kept = [box.area_um2 for box in rests if question.is_worth_keeping(box)]
    return (
        sum(question.parts[index].area_um2 * count for index, count in tried.missing.items()),
        sum(each.stock.area_um2 for each in sheets if not each.stock.is_piece),
        sum(each.stock.area_um2 for each in sheets if each.stock.is_piece),
        -max(kept, default=0),
        sum(cut.length_um for each in sheets for cut in each.cuts.values()),
    )


def _finished(tried: _Try) -> CutPlan:
    question = tried.question
    missing = tuple(
        (question.parts[index], count) for index, count in sorted(tried.missing.items())
    )
    return CutPlan(question, tuple(_sawn(each, question) for each in tried.sheets), missing)


def _sawn(sheet: _Sheet, question: Question) -> SawnSheet:
    rests = sheet.free + sheet.rest
    kept = [box for box in rests if question.is_worth_keeping(box)]
    scrap = [box for box in rests if not question.is_worth_keeping(box)]
    return SawnSheet(
        sheet.stock,
        tuple(sorted(sheet.placed, key=lambda one: one.box)),
        tuple(_in_order(sheet)),
        tuple(sorted(kept)),
        tuple(sorted(sheet.trims + scrap)),
    )


def _in_order(sheet: _Sheet) -> list[Cut]:
    """Return the cuts so that a piece is sawn up before the next one is taken, trims first."""
    ordered = []
    pieces = [Box(0, 0, sheet.stock.length_um, sheet.stock.width_um)]
    while pieces:
        cut = sheet.cuts.get(pieces.pop())
        if cut:
            ordered.append(cut)
            pieces += [box for box in (cut.high, cut.low) if box]
    return ordered
