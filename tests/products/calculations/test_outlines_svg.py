"""Outlines out of SVG files: sizes in mm, transforms, and hostile files."""

from math import pi

import pytest
from shapely.geometry import Point

from products.calculations.outlines import MOST_BYTES, TOLERANCE_MM, OutlineError
from products.calculations.outlines_svg import outlines_of_svg, unit_mm

SQUARE = '<rect width="100" height="50"/>'
BILLION = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))


def svg(inside: str, head: str = 'width="400mm" height="400mm" viewBox="0 0 400 400"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inside}</svg>'.encode()


@pytest.mark.parametrize(
    ("inside", "area_mm2"),
    [
        (SQUARE, 5000),
        ('<rect width="100" height="50" rx="10"/>', 5000 - (4 - pi) * 100),
        ('<circle cx="50" cy="50" r="40"/>', pi * 1600),
        ('<ellipse cx="50" cy="50" rx="40" ry="20"/>', pi * 800),
        ('<polygon points="0,0 100,0 100,50"/>', 2500),
        ('<polyline points="0 0 100 0 100 50 0 0"/>', 2500),
        ('<path d="M0 0H100V50H0Z"/>', 5000),
        ('<path d="M10 50 a40 40 0 1 0 80 0 a40 40 0 1 0 -80 0z"/>', pi * 1600),
        ('<path d="M0 0 Q50 0 50 50 T100 100 L0 100z"/>', None),
        (f'<g transform="scale(2)"><g transform="rotate(30)">{SQUARE}</g></g>', 20_000),
        ('<rect width="100" height="50" transform="matrix(1 0 0.5 1 9 9)"/>', 5000),
        (f"<defs>{SQUARE}</defs><rect width='10' height='10'/>", 100),
    ],
)
def test_each_shape_has_its_area(inside, area_mm2):
    (outline,) = outlines_of_svg(svg(inside))
    if area_mm2:
        edge_mm = outline.polygon.length / 1000
        assert abs(outline.area_um2 / 1e6 - area_mm2) <= edge_mm * TOLERANCE_MM


def test_a_bezier_curve_stays_within_the_tolerance_of_its_points():
    """B(t) of the cubic, from its definition (SVG 1.1, 8.3.6), is near the flattened line."""
    (outline,) = outlines_of_svg(svg('<path d="M0 0 C0 80 100 80 100 0z"/>'))
    edge = outline.polygon.exterior
    top = outline.bounds[3]
    for step in range(1, 100):
        t = step / 100
        x = 300 * (1 - t) * t**2 + 100 * t**3
        y = 240 * (1 - t) ** 2 * t + 240 * (1 - t) * t**2
        assert edge.distance(Point(x * 1000, top - y * 1000)) <= TOLERANCE_MM * 1000 + 2


def test_an_outline_looks_as_drawn_though_y_runs_down_in_the_file():
    (outline,) = outlines_of_svg(svg('<polygon points="0,0 10,0 0,20"/>'))
    assert set(outline.points) == {(0, 20_000), (10_000, 20_000), (0, 0)}


@pytest.mark.parametrize(
    ("head", "mm"),
    [
        ({"width": "10cm", "viewBox": "0 0 50 50"}, 2),
        ({"width": "1in", "viewBox": "0 0 1 1"}, 25.4),
        ({"width": "96px"}, 25.4 / 96),
        ({"width": "96px", "viewBox": "0,0,96,96"}, 25.4 / 96),
        ({"width": "100%", "viewBox": "0 0 50 50"}, None),
        ({"width": "50"}, None),
        ({}, None),
    ],
)
def test_a_user_unit_is_what_width_and_viewbox_say(head, mm):
    assert unit_mm(head) == (mm if mm is None else pytest.approx(mm))


def test_a_missing_unit_is_asked():
    with pytest.raises(OutlineError) as refusal:
        outlines_of_svg(svg(SQUARE, head=""))
    assert refusal.value.code == "file-unit"
    assert outlines_of_svg(svg(SQUARE, head=""), "mm")[0].bounds == (0, 0, 100_000, 50_000)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "file-no-svg"),
        (b"hello", "file-no-svg"),
        (b"<html/>", "file-no-svg"),
        (svg(SQUARE)[:-3], "file-no-svg"),
        (f'<!DOCTYPE svg [<!ENTITY a0 "x">{BILLION}]><svg>&a9;</svg>'.encode(), "file-entities"),
        (
            b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>',
            "file-entities",
        ),
        (svg(""), "file-no-outline"),
        (svg('<path d=""/>'), "file-no-outline"),
        (svg('<path d="M0 0h9v9"/>'), "outline-open"),
        (svg('<path d="5 5"/>'), "file-no-svg"),
        (svg('<path d="M0 0 C1 1"/>'), "file-no-svg"),
        (svg('<path d="M0 0 L9 b z"/>'), "file-no-svg"),
        (svg('<path d="M0 0 L1e999 0 L9 9z"/>'), "outline-size"),
        (svg('<path d="M0 0 A1e300 1e300 0 0 0 9 9z"/>'), "*"),
        (svg('<circle r="1e308"/>'), "*"),
        (svg('<circle r="1" transform="scale(1e300)"/>'), "*"),
        (svg('<g transform="matrix(1)">' + SQUARE + "</g>"), "file-no-svg"),
        (svg('<use href="#a"/>'), "file-blocks"),
        (svg(SQUARE + '<rect x="10" y="10" width="5" height="5"/>'), "outline-hole"),
        (svg("<g>" * 70), "file-many-lines"),
        (svg("<g/>" * 2001), "file-many-lines"),
        (svg(SQUARE, head='width="1mm" viewBox="0 0 0 0"'), "file-no-svg"),
        (svg(f'<path d="M0 0{"c0 9e4 1 1 2 2" * 70_000}z"/>'), "file-many-lines"),
        (svg('<circle r="9e4"/>' * 2000), "file-many-lines"),
        (svg(f'<g transform="{"scale(" * 150_000}"/>'), "file-no-outline"),
        (svg(SQUARE, head=f'width="{"1" * 900_000}x"'), "file-unit"),
        (svg(f'<circle r="1{" " * 900_000}x"/>'), "file-no-svg"),
        (b" " * (MOST_BYTES + 1), "file-large"),
    ],
)
def test_broken_open_and_hostile_files_are_refused(content, code):
    """None of them keeps the machine busy: what is drawn is counted, and no pattern tries all ways."""
    with pytest.raises(OutlineError) as refusal:
        outlines_of_svg(content)
    assert code in {refusal.value.code, "*"}


def test_a_plain_document_type_is_passed_over():
    head = b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    assert len(outlines_of_svg(head + svg(SQUARE))) == 1
