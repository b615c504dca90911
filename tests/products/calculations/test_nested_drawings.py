"""Drawings of nested sheets: opened by other readers, with the outlines where the plan has them."""

from io import StringIO
from xml.etree import ElementTree

import ezdxf
import pytest
from shapely.geometry import Polygon

from products.calculations.nested_drawings import nested_dxf, nested_svg
from products.calculations.nestings import Shape, kept_of
from products.calculations.outlines import rectangle
from products.calculations.outlines_dxf import outlines_of_dxf
from tests.factories.nestings import by_hand, found, question

SVG = "{http://www.w3.org/2000/svg}"


def test_the_dxf_has_every_outline_in_its_place():
    plan = found()
    for sheet in plan.sheets:
        space = ezdxf.read(StringIO(nested_dxf(sheet, plan.question))).modelspace()
        lines = space.query('POLYLINE[layer=="PARTS"]')
        drawn = [Polygon([(p.x, p.y) for p in line.points()]) for line in lines]
        for shape, part in zip(drawn, sheet.placed, strict=True):
            assert shape.area == pytest.approx(part.outline.area_um2 / 1e6, rel=1e-6)
            assert shape.bounds == pytest.approx([each / 1000 for each in part.outline.bounds])
        kept = space.query('POLYLINE[layer=="OFFCUTS"]')
        assert len(kept) == bool(kept_of(sheet, plan.question))


def test_a_part_of_the_dxf_can_be_nested_again():
    plan = by_hand((10, 10))
    document = ezdxf.read(StringIO(nested_dxf(plan.sheets[0], plan.question)))
    for each in document.modelspace().query('*[layer!="PARTS"]'):
        document.modelspace().delete_entity(each)
    stream = StringIO()
    document.write(stream)
    (again,) = outlines_of_dxf(stream.getvalue().encode(), "mm")
    assert again.polygon.equals(rectangle(100_000, 100_000).polygon)


def test_the_picture_numbers_the_parts_and_marks_the_offcut():
    plan = by_hand((10, 10), (113, 10))
    picture = ElementTree.fromstring(nested_svg(plan.sheets[0], plan.question))  # noqa: S314 (ours)
    texts = [each.text for each in picture.iter(f"{SVG}text")]
    assert texts == ["K", "1", "2", "600 mm", "400 mm"]
    assert len(list(picture.iter(f"{SVG}path"))) == 4  # the kerf of each, then the parts


def test_a_name_with_signs_does_not_break_the_drawings():
    asked = question(Shape("<b>&\n\x07é", rectangle(100_000, 100_000)))
    plan = by_hand((10, 10), asked=asked)
    ElementTree.fromstring(nested_svg(plan.sheets[0], plan.question))  # noqa: S314 (ours)
    document = ezdxf.read(StringIO(nested_dxf(plan.sheets[0], plan.question)))
    assert document.modelspace().query("TEXT")[0].dxf.text.startswith("<b>&")
