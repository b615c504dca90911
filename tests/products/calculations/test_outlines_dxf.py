"""Outlines out of DXF files that ezdxf wrote, against the areas of the shapes drawn."""

from io import StringIO
from math import nan, pi

import ezdxf
import pytest

from products.calculations.outlines import MOST_BYTES, TOLERANCE_MM, OutlineError
from products.calculations.outlines_dxf import outlines_of_dxf

L = [(0, 0), (200, 0), (200, 60), (60, 60), (60, 160), (0, 160)]


def written(draw, units=4) -> bytes:
    document = ezdxf.new("R2010")
    document.units = units
    draw(document.modelspace())
    stream = StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def slot(space):
    """Two lines and two half circles of radius 20, 100 apart, drawn as four entities."""
    space.add_line((0, 0), (100, 0))
    space.add_arc((100, 20), 20, 270, 90)
    space.add_line((100, 40), (0, 40))
    space.add_arc((0, 20), 20, 90, 270)


@pytest.mark.parametrize(
    ("draw", "area_mm2"),
    [
        (lambda space: space.add_lwpolyline(L, close=True), 200 * 60 + 60 * 100),
        (lambda space: space.add_polyline2d(L, close=True), 200 * 60 + 60 * 100),
        (lambda space: space.add_lwpolyline([*L, L[0]]), 200 * 60 + 60 * 100),
        (lambda space: space.add_circle((50, 50), 40), pi * 40**2),
        (lambda space: space.add_ellipse((0, 0), (60, 0), 0.5), pi * 60 * 30),
        (lambda space: space.add_lwpolyline([(0, 0, 1), (80, 0, 1)], format="xyb", close=True), pi * 40**2),
        (slot, 100 * 40 + pi * 20**2),
    ],
)  # fmt: skip
def test_each_kind_of_line_has_its_area(draw, area_mm2):
    """A chord is nowhere further from its arc than the tolerance, so the area differs by less than that strip."""
    (outline,) = outlines_of_dxf(written(draw))
    edge_mm = outline.polygon.length / 1000
    assert abs(outline.area_um2 / 1e6 - area_mm2) <= edge_mm * TOLERANCE_MM


def test_inches_are_read_from_the_header_and_a_missing_unit_is_asked():
    square = [(0, 0), (1, 0), (1, 1), (0, 1)]

    def draw(space):
        space.add_lwpolyline(square, close=True)

    assert outlines_of_dxf(written(draw, units=1))[0].bounds == (0, 0, 25_400, 25_400)
    with pytest.raises(OutlineError) as refusal:
        outlines_of_dxf(written(draw, units=0))
    assert refusal.value.code == "file-unit"
    assert outlines_of_dxf(written(draw, units=0), "cm")[0].bounds == (0, 0, 10_000, 10_000)


def block(space):
    space.doc.blocks.new("B").add_circle((0, 0), 5)
    space.add_blockref("B", (0, 0))


@pytest.mark.parametrize(
    ("draw", "code"),
    [
        (lambda space: None, "file-no-outline"),
        (lambda space: space.add_text("words"), "file-no-outline"),
        (lambda space: space.add_line((0, 0), (9, 9)), "outline-open"),
        (lambda space: space.add_lwpolyline(L), "outline-open"),
        (block, "file-blocks"),
        (lambda space: space.add_polyline3d([(0, 0, 0), (9, 0, 5), (9, 9, 0)], close=True), "file-not-flat"),
        (lambda space: [space.add_circle((0, 0), 9), space.add_circle((0, 0), 5)], "outline-hole"),
        (lambda space: [space.add_line((0, 0), (0, 1)) for _each in range(2001)], "file-many-lines"),
        (lambda space: space.add_circle((0, 0), 1e15), "outline-size"),
        (lambda space: [space.add_circle((0, 0), 1e6) for _each in range(1900)], "file-many-lines"),
        (lambda space: space.add_open_spline([(0, 0), (nan, 9), (9, 9), (0, 0)]), "outline-size"),
        (lambda space: space.add_lwpolyline([(0, 0), (9, 9), (9, 0), (0, 9)], close=True), "outline-crossing"),
    ],
)  # fmt: skip
def test_what_is_no_outline_is_said(draw, code):
    with pytest.raises(OutlineError) as refusal:
        outlines_of_dxf(written(draw))
    assert refusal.value.code == code


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "file-no-dxf"),
        (b"hello", "file-no-dxf"),
        (b"\x00\xff" * 500, "file-no-dxf"),
        (b"  0\nSECTION\n  2\nENTITIES\n", "file-no-dxf"),
        (b" " * (MOST_BYTES + 1), "file-large"),
    ],
)
def test_foreign_and_hostile_files_are_refused(content, code):
    with pytest.raises(OutlineError) as refusal:
        outlines_of_dxf(content, "mm")
    assert refusal.value.code in {code, "file-no-outline"}
