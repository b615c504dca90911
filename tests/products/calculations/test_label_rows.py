"""Rows of text. No two figures of a row of text may lie over each other."""

import pytest

from products.calculations.label_drawing import Line, Polygon, Rect, Text
from products.calculations.label_fonts import ASCENT, LINE
from products.calculations.label_rows import LEAST_TEXT_MM, rows
from tests.factories.labels import BIN, DELIVERY, KINDS, LONGEST, PART, make_label

every_label = pytest.mark.parametrize(
    "label", [*KINDS.values(), LONGEST], ids=lambda label: label.kind
)
widths = pytest.mark.parametrize("width_mm", [14, 30.8, 92])
scales = pytest.mark.parametrize("scale", [0.6, 1, 2.2])


def row(label, name, width_mm=40, scale=1):
    return next(row for row in rows(label, width_mm, scale) if row.name == name)


def texts(made):
    return [item for item in made.items if isinstance(item, Text)]


def overlap(one, other):
    across = min(one.x_mm + one.width_mm, other.x_mm + other.width_mm) - max(one.x_mm, other.x_mm)
    tops = [text.y_mm - ASCENT * text.size_mm for text in (one, other)]
    bottoms = [text.y_mm + (LINE - ASCENT) * text.size_mm for text in (one, other)]
    return across > 1e-6 and min(bottoms) - max(tops) > 1e-6


@every_label
@widths
@scales
def test_every_text_lies_inside_its_row(label, width_mm, scale):
    made = rows(label, width_mm, scale)
    found = [(text, each) for each in made for text in texts(each)]
    assert [t for t, r in found if t.x_mm < -1e-6 or t.x_mm + t.width_mm > width_mm + 1e-6] == []
    assert [t for t, r in found if t.y_mm > r.height_mm or t.y_mm < 0] == []


@every_label
@widths
@scales
def test_no_two_texts_of_a_row_overlap(label, width_mm, scale):
    pairs = [
        (one, other)
        for made in rows(label, width_mm, scale)
        for place, one in enumerate(texts(made))
        for other in texts(made)[place + 1 :]
    ]
    assert [pair for pair in pairs if overlap(*pair)] == []


@every_label
@widths
def test_no_text_is_too_small_to_print(label, width_mm):
    """Common practice: 15 dots at 203 dpi; the number in a triangle grows with it."""
    made = [text for each in rows(label, width_mm, 0.6) for text in texts(each)]
    small = [text for text in made if text.size_mm < LEAST_TEXT_MM - 1e-6]
    assert [text for text in small if text.text != label.resin_number] == []


def test_what_is_empty_takes_no_row():
    assert [made.name for made in rows(make_label(), 40, 1)] == ["address"]


def test_rows_stand_in_the_order_of_a_label():
    names = [made.name for made in rows(PART, 60, 1)]
    assert names == ["head", "title", "mark", "colour", "strip", "run", "line", "address"]


def test_two_short_texts_share_a_line():
    kind, place = texts(row(BIN, "head"))
    assert kind.y_mm == place.y_mm
    assert place.x_mm + place.width_mm == pytest.approx(40)


def test_two_long_texts_stand_one_below_the_other():
    made = texts(row(LONGEST, "head"))
    assert len({text.y_mm for text in made}) == len(made) > 1


def test_a_mark_is_shrunk_before_it_is_broken():
    """A mark has no place to break; ISO 11469 writes it without spaces."""
    assert [text.text for text in texts(row(KINDS["bag"], "mark", 31))] == [KINDS["bag"].mark]


def test_the_triangle_has_sides_of_one_length_and_its_text_below():
    """ASTM D7611: a solid equilateral triangle, the number inside, the abbreviation below."""
    made = row(BIN, "mark")
    (a, b, c), _inner = (item.points_mm for item in made.items if isinstance(item, Polygon))
    sides = [((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2) ** 0.5 for p, q in ((a, b), (b, c), (c, a))]
    assert sides == pytest.approx([sides[0]] * 3)
    number, below = (text for text in texts(made) if text.text in {"2", "HDPE"})
    assert number.y_mm < a[1] < below.y_mm - 0.6 * below.size_mm


def test_there_is_no_triangle_without_a_number():
    label = make_label(mark=">PP<", resin_text="PP")
    assert [item for item in row(label, "mark").items if isinstance(item, Polygon)] == []


def test_the_swatch_shows_the_colour_within_an_outline():
    (swatch,) = (item for item in row(PART, "colour").items if isinstance(item, Rect))
    assert (swatch.fill, swatch.stroke) == (PART.srgb, "#000000")
    assert swatch.width_mm == swatch.height_mm


@pytest.mark.parametrize("srgb", ["", "red", "#fff", "#12345g", 'x"/><script>'])
def test_what_is_no_colour_has_no_swatch(srgb):
    label = make_label(colour_name="red", srgb=srgb)
    assert [item for item in row(label, "colour").items if isinstance(item, Rect)] == []


def test_the_strip_shows_shares_in_their_order_and_colours():
    bars = [item for item in row(PART, "strip").items if isinstance(item, Rect) and item.fill]
    assert [bar.fill for bar in bars] == [share.srgb for share in PART.strip]
    assert [bar.width_mm / 40 for bar in bars] == pytest.approx([0.6, 0.3, 0.1])


def test_shares_without_a_colour_have_tones_of_their_own():
    bars = [item for item in row(DELIVERY, "strip").items if isinstance(item, Rect) and item.fill]
    assert len({bar.fill for bar in bars}) == 2


def test_neighbours_of_one_colour_are_parted_by_a_line():
    lines = [item for item in row(PART, "strip").items if isinstance(item, Line)]
    assert [line.x_mm for line in lines] == pytest.approx([0, 24, 36])


def test_the_strip_is_told_in_figures_too():
    said = " ".join(text.text for text in texts(row(PART, "strip"))).replace("\u00a0", " ")
    assert said == "white 60 %, grey 30 %, red 10 %"


def test_a_part_of_an_address_is_not_printed():
    assert [made.name for made in rows(BIN, 14, 0.6) if made.name == "address"] == []
