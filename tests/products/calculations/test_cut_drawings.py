"""Pictures and outlines of a sawn sheet, opened again by libraries of others."""

import re
from io import StringIO
from textwrap import wrap
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf.lldxf.encoding import decode_dxf_unicode
from shapely import Polygon, box

from products.calculations.cut_drawings import sheet_dxf, sheet_svg
from products.calculations.cut_plans import Part, Question, Saw, Stock, um
from products.calculations.guillotine import plan_guillotine

SVG = "{http://www.w3.org/2000/svg}"


def sheet(name="Séite <1>"):
    parts = (Part(name, um(600), um(300), 3), Part("b", um(250.5), um(120), 2, may_turn=True))
    asked = Question((Stock(um(2000), um(1000)),), parts, Saw(um(3.2), um(10)))
    return plan_guillotine(asked, 100).sheets[0]


def shape(of):
    return box(of.x_um / 1000, of.y_um / 1000, of.right_um / 1000, of.top_um / 1000)


def drawn(document, layer):
    lines = document.modelspace().query(f'POLYLINE[layer=="{layer}"]')
    assert all(line.is_closed for line in lines)
    return [Polygon([tuple(point)[:2] for point in line.points()]) for line in lines]


def test_the_dxf_has_the_sheet_the_parts_and_the_offcuts_in_their_places():
    sawn = sheet()
    document = ezdxf.read(StringIO(sheet_dxf(sawn)))
    told = {
        "SHEET": [box(0, 0, 2000, 1000)],
        "PARTS": [shape(each.box) for each in sawn.placed],
        "OFFCUTS": [shape(each) for each in sawn.kept],
    }
    for layer, shapes in told.items():
        found = drawn(document, layer)
        assert len(found) == len(shapes) > 0
        assert all(a.equals(b) for a, b in zip(found, shapes, strict=True))
    assert not document.audit().has_errors


@pytest.mark.parametrize(
    "name", ["Séite <1>", "0\nEOF\n", "a\\P{b}", "鋼\x01", "😀", "x\ufffe\uffff"]
)
def test_a_name_breaks_neither_drawing(name):
    sawn = sheet(name)
    document = ezdxf.read(StringIO(sheet_dxf(sawn)))
    assert len(drawn(document, "PARTS")) == len(sawn.placed)
    assert ElementTree.fromstring(sheet_svg(sawn)).tag == f"{SVG}svg"  # noqa: S314 (our own text)


def test_names_in_the_dxf_read_as_they_were_typed():
    document = ezdxf.read(StringIO(sheet_dxf(sheet())))
    texts = [each.plain_text() for each in document.modelspace().query("TEXT")]
    assert "Séite <1>" in map(decode_dxf_unicode, texts)


def test_the_picture_has_every_piece_and_the_sizes_with_their_unit():
    sawn = sheet()
    root = ElementTree.fromstring(sheet_svg(sawn))  # noqa: S314 (our own text)
    pieces = len(sawn.placed) + len(sawn.kept) + len(sawn.scrap)
    assert len(root.findall(f"{SVG}rect")) == pieces + 1
    texts = [each.text for each in root.iter(f"{SVG}text")]
    assert {"2000 mm", "1000 mm", "Séite <1>", "600 × 300", "K1"} <= set(texts)


def test_the_picture_is_grey_and_lies_upright():
    """x to the right, y up: a part low on the sheet is low in the picture."""
    sawn = sheet()
    text = sheet_svg(sawn)
    colours = set(re.findall(r'"#([0-9a-f]+)"', text))
    assert colours
    assert all(len(set(wrap(colour, len(colour) // 3))) == 1 for colour in colours)
    low = min(sawn.placed, key=lambda each: each.box.y_um).box
    assert f'y="{1000 - low.top_um / 1000:g}"' in text
