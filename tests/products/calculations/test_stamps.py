"""Stamps, read back: the DXF with a library of its own, the SVG with an XML parser."""

from datetime import date
from io import StringIO
from math import sqrt
from xml.etree import ElementTree as ET

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from products.calculations.glyphs import CAPITAL_UNITS, GLYPHS, GlyphError
from products.calculations.marks import MarkError
from products.calculations.stamps import (
    LETTER_GAP,
    LINE_GAP,
    ResinStamp,
    stamp_dxf,
    stamp_lines,
    stamp_polylines,
    stamp_svg,
    stamp_warnings,
)

SVG = "{http://www.w3.org/2000/svg}"
LINES = (">PA66-(GF25+MD15)FR(52)<", "11/2026", "DEMO WORKSHOP, EST: '26 & CO.", "M7 / 2")
RESIN = ResinStamp(2, "HDPE", 15)
HEIGHTS = [1.5, 2, 3.3, 10]
PITCH = CAPITAL_UNITS + LINE_GAP


def box(polylines):
    points = [point for stroke in polylines for point in stroke]
    across, up = zip(*points, strict=True)
    return min(across), min(up), max(across), max(up)


def mirror(polylines):
    width = box(polylines)[2]
    return [tuple((width - x, y) for x, y in stroke) for stroke in polylines]


def dxf_polylines(text):
    document = ezdxf.read(StringIO(text))
    found = []
    for entity in document.modelspace().query("POLYLINE"):
        points = [(point.x, point.y) for point in entity.points()]
        found.append(tuple([*points, points[0]] if entity.is_closed else points))
    return found


def svg_polylines(text):
    root = ET.fromstring(text)  # noqa: S314 (our own text)
    _left, low, _width, height = map(float, root.get("viewBox").split())
    top = height + 2 * low
    found = []
    for path in root.iter(f"{SVG}path"):
        pairs = path.get("d").removeprefix("M").split(" L")
        xy = [tuple(map(float, pair.split(","))) for pair in pairs]
        found.append(tuple((x, top - y) for x, y in xy))
    return found


def flat(polylines):
    return [value for stroke in polylines for point in stroke for value in point]


def letter_at(units, at):
    """Which letter starts with this stroke: most strokes first, on a base line of the text."""
    for letter in sorted(GLYPHS, key=lambda each: -len(GLYPHS[each].strokes)):
        strokes = GLYPHS[letter].strokes
        if not strokes:
            continue
        right, up = (units[at][0][axis] - strokes[0][0][axis] for axis in (0, 1))
        moved = [tuple((x + right, y + up) for x, y in stroke) for stroke in strokes]
        found = units[at : at + len(strokes)]
        if up % PITCH == 0 and flat(moved) == flat(found) and len(moved) == len(found):
            return letter, right, up
    raise AssertionError(f"no letter at stroke {at}")


def decode(polylines, height_mm):
    """Read the text back from its strokes, those of one line from left to right."""
    scale = CAPITAL_UNITS / height_mm
    units = [
        tuple((round(x * scale, 5), round(y * scale, 5)) for x, y in each) for each in polylines
    ]
    lines, at, end = {}, 0, 0
    while at < len(units):
        letter, right, up = letter_at(units, at)
        spaces = round((right - (end if up in lines else 0)) / (GLYPHS[" "].width + LETTER_GAP))
        lines[up] = lines.get(up, "") + " " * spaces + letter
        end = right + GLYPHS[letter].width + LETTER_GAP
        at += len(GLYPHS[letter].strokes)
    return tuple(lines[up] for up in sorted(lines, reverse=True))


def test_the_lines_are_mark_date_workshop_tool_and_cavity():
    lines = stamp_lines(
        mark=">PE-HD<", made_on=date(2026, 3, 31), workshop="D\u00e9mo", tool="Bowl 7", cavity=2
    )
    assert lines == (">PE-HD<", "03/2026", "DEMO", "BOWL 7 / 2")


def test_what_is_not_given_is_left_out():
    assert stamp_lines(mark=">PP<", workshop="  ", tool="M7") == (">PP<", "M7")


def test_a_stamp_takes_no_text_that_is_no_mark():
    with pytest.raises(MarkError) as error:
        stamp_lines(mark=">HDPE<")
    assert error.value.code == "trade-spelling"


def test_a_letter_that_cannot_be_cut_is_refused():
    with pytest.raises(GlyphError):
        stamp_lines(mark=">PP<", workshop="Demo*")


@pytest.mark.parametrize("height_mm", HEIGHTS)
def test_letters_have_the_height_asked_for(height_mm):
    _left, low, _right, top = box(stamp_polylines(["PE-HD"], height_mm))
    assert top - low == pytest.approx(height_mm, abs=1e-9)


@pytest.mark.parametrize("height_mm", HEIGHTS)
def test_the_box_of_the_text_is_worked_out_from_its_letters(height_mm):
    """H is 4 wide, I is 2, letters stand 2 apart, lines 4 apart, in sixths of the height."""
    found = box(stamp_polylines(["HI", "HI"], height_mm))
    assert found == pytest.approx((0, 0, 8 * height_mm / 6, 16 * height_mm / 6), abs=1e-9)


@pytest.mark.parametrize("resin", [None, RESIN])
def test_a_mirrored_stamp_is_the_exact_mirror(resin):
    plain = stamp_polylines(LINES, 3, mirrored=False, resin=resin)
    mirrored = stamp_polylines(LINES, 3, resin=resin)
    assert mirrored == mirror(plain)
    assert box(mirrored) == pytest.approx(box(plain), abs=1e-9)
    assert mirrored != plain


@pytest.mark.parametrize("height_mm", HEIGHTS)
def test_the_text_is_read_back_from_the_mirrored_dxf(height_mm):
    found = dxf_polylines(stamp_dxf(stamp_polylines(LINES, height_mm)))
    assert decode(mirror(found), height_mm) == LINES


@pytest.mark.parametrize("height_mm", HEIGHTS)
def test_the_text_is_read_back_from_the_mirrored_svg(height_mm):
    found = svg_polylines(stamp_svg(stamp_polylines(LINES, height_mm)))
    assert decode(mirror(found), height_mm) == LINES


@settings(deadline=None, max_examples=20)
@given(st.text(sorted(GLYPHS), max_size=20).map(lambda text: " ".join(text.split())))
def test_any_text_is_read_back_from_its_dxf(text):
    found = dxf_polylines(stamp_dxf(stamp_polylines([text], 5, mirrored=False)))
    assert "".join(decode(found, 5)) == text


@pytest.mark.parametrize(
    "read",
    [lambda made: dxf_polylines(stamp_dxf(made)), lambda made: svg_polylines(stamp_svg(made))],
)
def test_files_keep_every_point_within_a_millionth_of_a_millimetre(read):
    made = stamp_polylines(LINES, 3.3, resin=RESIN)
    assert flat(read(made)) == pytest.approx(flat(made), abs=1e-6)


def test_the_dxf_is_sound_and_of_release_12():
    document = ezdxf.read(StringIO(stamp_dxf(stamp_polylines(LINES, 3, resin=RESIN))))
    assert document.dxfversion == "AC1009"
    assert document.audit().errors == []
    assert {entity.dxftype() for entity in document.modelspace()} == {"POLYLINE"}


def test_the_dxf_is_plain_ascii_and_says_its_unit():
    text = stamp_dxf(stamp_polylines(LINES, 3))
    assert text.isascii()
    assert text.startswith("999\nmillimetres\n")


def test_the_svg_is_in_millimetres_with_room_for_the_hairline():
    made = stamp_polylines(["HI"], 6)
    root = ET.fromstring(stamp_svg(made))  # noqa: S314 (our own text)
    assert (root.get("width"), root.get("height")) == ("10mm", "8mm")
    assert root.get("viewBox") == "-1 -1 10 8"


def test_a_resin_code_stands_beside_the_text_with_its_triangle():
    """ASTM D7611: an equilateral triangle, the number inside, the text below."""
    corners, *rest = stamp_polylines(["PP"], 3, mirrored=False, resin=RESIN)
    inside, below = rest[0], rest[len(GLYPHS["2"].strokes)]
    assert corners[2][1] - corners[0][1] == pytest.approx(15 * sqrt(3) / 2)
    assert box([inside])[1] > corners[0][1]
    assert box([below])[3] < corners[0][1]
    assert box(rest[-2:])[0] == pytest.approx(18)


def test_a_long_text_below_the_triangle_stays_as_wide_as_it():
    made = stamp_polylines([], 3, mirrored=False, resin=ResinStamp(7, "PE-HD+PS-HI", 15))
    assert box(made) == pytest.approx((0, 0, 15, box(made)[3]), abs=1e-9)


def test_a_resin_number_that_does_not_go_with_its_text_is_not_cut():
    with pytest.raises(ValueError, match="4 is LDPE"):
        stamp_polylines(["PP"], 3, resin=ResinStamp(4, "HDPE", 15))


def test_a_composite_is_not_cut_into_a_triangle():
    with pytest.raises(ValueError, match="no triangle"):
        stamp_polylines(["PP"], 3, resin=ResinStamp(None, "C/PAP", 15))


@pytest.mark.parametrize("height_mm", [0, -1, float("nan")])
def test_letters_without_height_are_refused(height_mm):
    with pytest.raises(ValueError, match="above zero"):
        stamp_polylines(["PP"], height_mm)


@pytest.mark.parametrize(("height_mm", "count"), [(1.99, 1), (2, 0)])
def test_small_letters_carry_a_warning(height_mm, count):
    """2 mm is common practice."""
    assert len(stamp_warnings(height_mm)) == count


def test_a_small_triangle_carries_its_warning():
    assert "older scheme" in stamp_warnings(3, ResinStamp(5, "PP", 8))[0]
