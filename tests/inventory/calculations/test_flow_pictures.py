"""The picture of the flows: widths to scale, nothing over anything else, the same picture every time.

Widths are read back off the paths that are drawn, not off the figures they were made from.
"""

import re
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.flow_pictures import BOX_WIDTH, THINNEST, flow_picture
from inventory.calculations.flow_streams import COLUMNS, PART, RUNS, Stream

HALF = 0.5  # px
RETURNING = ["material", "offcut", "reject", "leftover", "dust", "purging"]
PAIRS = [
    *[(key, "bins") for key in ("found", "stock-start", "received")],
    *[(key, "runs") for key in ("worn", "machine-start", "found")],
    ("bins", "runs"),
    ("found", "part"),
    *[("bins", key) for key in ("loss", "disposed", "count", "stock-end")],
    *[(RUNS, key) for key in (PART, *RETURNING, "loss", "difference", "disposed", "machine-end")],
]
masses = st.integers(1, 10**12)
forward = st.dictionaries(st.sampled_from(PAIRS), masses, min_size=1).map(
    lambda found: [Stream(*pair, mass_mg) for pair, mass_mg in found.items()]
)


@st.composite
def flows(draw):
    """Streams forward, and back into bins from some of what the runs made."""
    streams = draw(forward)
    made = [each for each in streams if each.source == RUNS and each.target in RETURNING]
    back = [Stream(each.target, "bins", each.mass_mg, is_return=True) for each in made]
    return streams + [each for each in back if draw(st.booleans())]


def numbers(path):
    return [float(text) for text in re.findall(r"-?[0-9.]+", path)]


def drawn_widths(ribbon):
    """The widths at which a forward ribbon leaves and comes, off its path."""
    found = numbers(ribbon.path)
    half = (len(found) - 3) // 2  # M x,y and the curves of the upper edge; V y; the lower edge
    start_y, end_y, lower_y = found[1], found[half + 1], found[half + 2]
    return lower_y - end_y, found[-1] - start_y


@given(flows())
def test_widths_are_to_scale_within_half_a_pixel(streams):
    picture = flow_picture(COLUMNS, streams)
    scale = picture.bar.height / picture.bar.mass_mg
    for ribbon in picture.ribbons:
        wanted = ribbon.stream.mass_mg * scale
        widths = [ribbon.width] if ribbon.stream.is_return else drawn_widths(ribbon)
        assert all(abs(width - wanted) <= HALF for width in widths)
        assert ribbon.width >= THINNEST


@given(flows())
def test_boxes_stand_apart_and_within_the_picture(streams):
    picture = flow_picture(COLUMNS, streams)
    for one, other in combinations(picture.boxes, 2):
        if one.column == other.column:
            assert one.bottom < other.y or other.bottom < one.y
        else:
            assert one.right < other.x or other.right < one.x
    assert all(box.x >= 0 and box.right <= picture.width for box in picture.boxes)
    assert all(box.y >= 0 and box.bottom <= picture.height for box in picture.boxes)


@given(flows())
def test_ribbons_at_the_edge_of_a_box_touch_but_do_not_overlap_and_stay_on_it(streams):
    picture = flow_picture(COLUMNS, streams)
    boxes = {box.key: box for box in picture.boxes}
    sides = {}
    for ribbon in picture.ribbons:
        if not ribbon.stream.is_return:
            found = numbers(ribbon.path)
            half = (len(found) - 3) // 2
            sides.setdefault((ribbon.stream.source, "out"), []).append((found[1], found[-1]))
            sides.setdefault((ribbon.stream.target, "in"), []).append(
                (found[half + 1], found[half + 2])
            )
    for (key, _side), spans in sides.items():
        spans.sort()
        assert all(a[1] <= b[0] + 0.05 for a, b in zip(spans, spans[1:], strict=False))
        assert spans[0][0] >= boxes[key].y - 0.05
        assert spans[-1][1] <= boxes[key].bottom + 0.05


def spans_of(path):
    """The points of a forward ribbon's upper edge."""
    found = numbers(path)
    half = (len(found) - 3) // 2
    upper = found[2 : half + 2]
    ends = [(upper[n + 4], upper[n + 5]) for n in range(0, len(upper), 6)]
    return [(found[0], found[1]), *ends]


@given(flows())
def test_no_ribbon_runs_behind_a_box(streams):
    picture = flow_picture(COLUMNS, streams)
    for ribbon in picture.ribbons:
        if ribbon.stream.is_return:
            continue
        points = spans_of(ribbon.path)
        for (x, y), (to_x, to_y) in zip(points, points[1:], strict=False):
            top, bottom = min(y, to_y), max(y, to_y) + ribbon.width
            for box in picture.boxes:
                is_beside = to_x <= box.x + 0.01 or x >= box.right - 0.01
                assert is_beside or bottom <= box.y or top >= box.bottom


def segments(ribbon):
    """The straight pieces of a return as rectangles of its width."""
    x, y, to_x, low, back_x, up = numbers(ribbon.path)
    half = ribbon.width / 2
    yield x, y - half, to_x + half, y + half
    yield to_x - half, y - half, to_x + half, low + half
    yield back_x - half, low - half, to_x + half, low + half
    yield back_x - half, up, back_x + half, low + half


def is_apart(one, other):
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


@given(flows())
def test_returns_cross_neither_each_other_nor_a_box(streams):
    picture = flow_picture(COLUMNS, streams)
    returns = [ribbon for ribbon in picture.ribbons if ribbon.stream.is_return]
    for one, other in combinations(returns, 2):
        assert all(is_apart(a, b) for a in segments(one) for b in segments(other))
    for ribbon in returns:
        for piece in segments(ribbon):
            assert all(
                is_apart(piece, (box.x, box.y, box.right, box.bottom)) for box in picture.boxes
            )
            assert piece[2] <= picture.width
            assert piece[3] <= picture.height


@given(flows())
def test_returns_come_up_into_their_box(streams):
    picture = flow_picture(COLUMNS, streams)
    boxes = {box.key: box for box in picture.boxes}
    for ribbon in picture.ribbons:
        if ribbon.stream.is_return:
            back_x, half = numbers(ribbon.path)[4], ribbon.width / 2
            assert boxes["bins"].x <= back_x - half
            assert back_x + half <= boxes["bins"].x + BOX_WIDTH


@given(flows())
def test_the_same_streams_give_the_same_picture(streams):
    assert flow_picture(COLUMNS, streams) == flow_picture(COLUMNS, streams)


@given(flows())
def test_the_bar_of_the_scale_is_round_and_stands_alone(streams):
    picture = flow_picture(COLUMNS, streams)
    bar = picture.bar
    assert re.fullmatch("[125]0*", str(bar.mass_mg))
    assert all(bar.y > box.bottom for box in picture.boxes)
    assert bar.y + bar.height <= picture.height


def test_nothing_gives_an_empty_picture():
    picture = flow_picture(COLUMNS, [])
    assert (picture.boxes, picture.ribbons) == ([], [])
