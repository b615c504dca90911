"""One label as SVG and PNG: of its size, and saying what the PDF says."""

from io import BytesIO
from xml.etree import ElementTree

import numpy
import pytest
import zxingcpp
from PIL import Image

from products.calculations.label_drawing import Text
from products.calculations.label_images import label_png, label_svg, runs
from products.calculations.label_pictures import picture
from products.calculations.qr_codes import qr_matrix
from tests.factories.labels import KINDS, PART, make_label

NS = "{http://www.w3.org/2000/svg}"
TAGS = {"svg", "g", "rect", "path", "polygon", "text"}
SIZES = [(63.5, 33.9), (38.1, 21.2), (100, 150)]
sizes = pytest.mark.parametrize(("width_mm", "height_mm"), SIZES)


def parsed(label, *size):
    return ElementTree.fromstring(label_svg(label, *size))  # noqa: S314 (it is our own)


def modules_of(svg):
    """The dark modules of the square code, from its path alone."""
    found = set()
    for stretch in svg.find(f"{NS}g/{NS}path").get("d").split("M")[1:]:
        start, length = stretch.split("h")[:2]
        x, y = map(int, start.split())
        found |= {(x + step, y) for step in range(int(length.split("v")[0]))}
    return found


@sizes
def test_an_svg_has_the_size_of_the_label_in_millimetres(width_mm, height_mm):
    svg = parsed(PART, width_mm, height_mm)
    assert (svg.get("width"), svg.get("height")) == (f"{width_mm}mm", f"{height_mm}mm")
    assert svg.get("viewBox") == f"0 0 {width_mm} {height_mm}"


@pytest.mark.parametrize("kind", KINDS)
def test_an_svg_says_what_the_drawing_says(kind):
    shown = [
        (text.text, float(text.get("x"))) for text in parsed(KINDS[kind], 57, 32).iter(f"{NS}text")
    ]
    drawn = [item for item in picture(KINDS[kind], 57, 32).items if isinstance(item, Text)]
    assert shown == [(text.text, pytest.approx(text.x_mm, abs=0.001)) for text in drawn]


def test_text_in_an_svg_is_held_to_its_printed_width():
    ends = [
        float(text.get("x")) + float(text.get("textLength"))
        for text in parsed(PART, 57, 32).iter(f"{NS}text")
    ]
    assert max(ends) < 57


def test_the_square_code_in_an_svg_is_the_code():
    matrix = qr_matrix(PART.address)
    dark = {(x, y) for y, row in enumerate(matrix) for x, is_dark in enumerate(row) if is_dark}
    assert modules_of(parsed(PART, 57, 32)) == dark


def test_an_svg_carries_no_script_and_no_style():
    """The pages' content security policy allows neither."""
    svg = parsed(PART, 57, 32)
    assert {item.tag.removeprefix(NS) for item in svg.iter()} <= TAGS
    assert [item for item in svg.iter() if "style" in item.attrib] == []


def test_markup_in_a_name_stays_text():
    svg = parsed(make_label(title='<script>"&', kind='"><b'), 57, 32)
    assert '<script>"&' in [text.text for text in svg.iter(f"{NS}text")]
    assert svg.get("aria-label").startswith('"><b ')


@sizes
@pytest.mark.parametrize("dpi", [203, 300])
def test_a_png_has_as_many_dots_as_the_printer(width_mm, height_mm, dpi):
    image = Image.open(BytesIO(label_png(PART, width_mm, height_mm, dpi)))
    exact = (width_mm / 25.4 * dpi, height_mm / 25.4 * dpi)
    assert image.size == pytest.approx(exact, abs=0.501)
    assert image.info["dpi"] == pytest.approx((dpi, dpi), abs=0.1)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("dpi", [203, 300])
def test_a_reader_finds_the_address_in_a_png(kind, dpi):
    image = Image.open(BytesIO(label_png(KINDS[kind], 57, 32, dpi)))
    assert [found.text for found in zxingcpp.read_barcodes(image)] == [KINDS[kind].address]


def test_modules_in_a_png_are_whole_dots():
    """Denso Wave, module size guide: four dots a module or more."""
    image = numpy.array(Image.open(BytesIO(label_png(PART, 57, 32, 203))).convert("L"))
    top = image[: image.shape[0] // 2, : 2 * image.shape[1] // 5]  # left of all text
    row = top[numpy.argmax((top == 0).any(axis=1))] == 0
    edges = numpy.flatnonzero(numpy.diff(row.astype(int)))
    stretches = numpy.diff(edges)
    module = stretches[0] / 7  # the upper edge of a finder is seven modules wide
    assert module == int(module) >= 4
    assert (stretches % int(module) == 0).all()


def test_the_same_label_gives_the_same_picture():
    assert label_png(PART, 57, 32, 203) == label_png(PART, 57, 32, 203)
    assert label_svg(PART, 57, 32) == label_svg(PART, 57, 32)


def test_dark_stretches_hold_every_dark_module_once():
    matrix = qr_matrix(PART.address)
    assert sum(length for _x, _y, length in runs(matrix)) == sum(map(sum, matrix))
