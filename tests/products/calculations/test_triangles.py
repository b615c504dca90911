"""The triangle: ASTM D7611 asks for a solid equilateral one with the number inside, text below."""

from math import acos, degrees, dist, sqrt
from xml.etree import ElementTree as ET

import pytest

from products.calculations.triangles import triangle, triangle_svg

SVG = "{http://www.w3.org/2000/svg}"
SIZES = [5, 12.7, 20, 33.3, 1000]


def angles(corners):
    return [angle(corners[at - 1], corners[at], corners[(at + 1) % 3]) for at in range(3)]


def angle(before, corner, after):
    one = [a - b for a, b in zip(before, corner, strict=True)]
    two = [a - b for a, b in zip(after, corner, strict=True)]
    product = sum(a * b for a, b in zip(one, two, strict=True))
    return degrees(acos(product / (dist(before, corner) * dist(after, corner))))


def svg(number, text, size_mm):
    return ET.fromstring(triangle_svg(number, text, size_mm))  # noqa: S314 (our own text)


def path_corners(root):
    pairs = [part.strip("MLZ ") for part in root.find(f"{SVG}path").get("d").split(" ")]
    return [tuple(map(float, pair.split(","))) for pair in pairs if pair]


@pytest.mark.parametrize("size_mm", SIZES)
def test_every_angle_is_sixty_degrees(size_mm):
    drawn = triangle(size_mm)
    assert angles(drawn.outer) + angles(drawn.inner) == pytest.approx([60] * 6, abs=1e-12)


@pytest.mark.parametrize("size_mm", SIZES)
def test_the_sides_have_the_size(size_mm):
    a, b, c = triangle(size_mm).outer
    assert [dist(a, b), dist(b, c), dist(c, a)] == pytest.approx([size_mm] * 3, rel=1e-14)


def test_the_line_is_as_wide_everywhere():
    drawn = triangle(24)
    inradius = [sqrt(3) / 6 * dist(*corners[:2]) for corners in (drawn.outer, drawn.inner)]
    assert inradius[0] - inradius[1] == pytest.approx(2)
    assert drawn.inner[0][1] == pytest.approx(2)


def test_the_number_stands_inside_the_line():
    drawn = triangle(20)
    upper = drawn.number_at[1] + drawn.number_height_mm / 2
    width_there = (drawn.inner[2][1] - upper) * 2 / sqrt(3)
    assert width_there > 0.8 * drawn.number_height_mm
    assert drawn.number_at[1] - drawn.number_height_mm / 2 > drawn.inner[0][1]


def test_the_text_stands_below_and_in_the_middle():
    drawn = triangle(20)
    assert drawn.text_at[0] == 10
    assert drawn.text_at[1] < 0


@pytest.mark.parametrize(("size_mm", "count"), [(12.69, 1), (12.7, 0), (25, 0)])
def test_a_small_triangle_carries_a_warning(size_mm, count):
    """12.7 mm is the least size of the older scheme, from memory and unconfirmed."""
    assert len(triangle(size_mm).warnings) == count


@pytest.mark.parametrize("size_mm", [0, -1, float("nan")])
def test_a_triangle_without_size_is_refused(size_mm):
    with pytest.raises(ValueError, match="above zero"):
        triangle(size_mm)


def test_the_picture_holds_number_and_text_as_text():
    texts = [node.text for node in svg(2, "HDPE", 20).iter(f"{SVG}text")]
    assert texts == ["2", "HDPE"]


def test_the_picture_is_in_millimetres():
    root = svg(2, "HDPE", 20)
    assert root.get("width") == "20mm"
    assert root.get("viewBox") == f"0 0 20 {root.get('height').removesuffix('mm')}"


def test_the_triangles_in_the_picture_are_equilateral():
    corners = path_corners(svg(5, "PP", 20))
    assert angles(corners[:3]) + angles(corners[3:]) == pytest.approx([60] * 6, abs=1e-4)


def test_a_long_text_is_set_smaller():
    sizes = [
        float(svg(7, text, 20).findall(f"{SVG}text")[1].get("font-size"))
        for text in ("PA", "PE-HD+PS-HI")
    ]
    assert sizes[1] * 0.75 * len("PE-HD+PS-HI") <= 20 < sizes[0] * 0.75 * len("PE-HD+PS-HI")


@pytest.mark.parametrize(
    ("number", "text"), [(4, "HDPE"), (1, "PET-G"), (8, "ABS"), (7, "<b>"), (None, "C/PAP")]
)
def test_a_pair_that_does_not_go_together_is_not_drawn(number, text):
    with pytest.raises(ValueError, match=text):
        triangle_svg(number, text, 20)
