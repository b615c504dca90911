"""Printed labels read by zxing-cpp, a reader of its own, as a scanner would find them.

The PDF is drawn by PDFium at the resolution of a printer: 203, 300 and 600 dpi. Damage of 10 % is
within what ISO/IEC 18004 restores at Q (25 %) and H (30 %).
"""

from functools import cache

import numpy
import pypdfium2
import pytest
import zxingcpp
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from products.calculations.label_geometry import roll
from products.calculations.label_plans import plan
from products.calculations.label_sheets import sheet_pdf
from products.calculations.qr_codes import qr_matrix
from tests.factories.labels import KINDS, make_label

LABEL = roll("Roll", 57, 32)
CODE = "30QJ6P1H8RNC"
LEVELS = {level: make_label(CODE, title="Stool", level=level) for level in "QH"}
ADDRESS = LEVELS["Q"].address
GROUNDS = {"light": "#f4f1ea", "dark": "#101214", "coloured": "#b8452f"}
STOCKS = {"yellow": "#ffd84a", "green": "#8fce9a", "kraft": "#c9a57b"}
dpis = pytest.mark.parametrize("dpi", [203, 300, 600])
levels = pytest.mark.parametrize("level", LEVELS)


@cache
def printed(label, dpi):
    page = pypdfium2.PdfDocument(sheet_pdf([label], LABEL))[0]
    return page.render(scale=dpi / 72).to_pil().convert("RGB")


@cache
def square(level, dpi):
    """The square code with its quiet zone, cut out of the printed label; and its modules."""
    modules = len(qr_matrix(ADDRESS, level))
    frame = plan(57, 32, modules).square
    edges = (frame.x_mm, frame.y_mm, frame.x_mm + frame.width_mm, frame.y_mm + frame.height_mm)
    return printed(LEVELS[level], dpi).crop([round(edge / 25.4 * dpi) for edge in edges]), modules


def on_ground(picture, ground, turn=0):
    """Lay a cut-out on a larger ground, turned by some degrees."""
    cover = Image.new("L", picture.size, 255)
    turned, cover = (
        each.rotate(turn, Image.Resampling.BICUBIC, expand=True) for each in (picture, cover)
    )
    whole = Image.new("RGB", [round(1.3 * side) for side in turned.size], ground)
    whole.paste(turned, [round(0.15 * side) for side in turned.size], cover)
    return whole


def damaged(picture, modules, at):
    """Paint a white square over a tenth of the symbol, its middle at shares of the symbol."""
    module = picture.width / (modules + 8)
    half = 0.1**0.5 * modules * module / 2
    x, y = ((4 + share * modules) * module for share in at)
    hurt = picture.copy()
    ImageDraw.Draw(hurt).rectangle((x - half, y - half, x + half, y + half), "white")
    return hurt


def read(picture):
    return [found.text for found in zxingcpp.read_barcodes(picture)]


@dpis
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_label_leads_to_its_address(kind, dpi):
    assert read(printed(KINDS[kind], dpi)) == [KINDS[kind].address]


@dpis
@levels
@pytest.mark.parametrize("turn", [90, 180, 7])
def test_a_turned_code_is_read(level, dpi, turn):
    picture, _modules = square(level, dpi)
    assert read(on_ground(picture, "#ffffff", turn)) == [ADDRESS]


@dpis
@levels
def test_a_blurred_code_is_read(level, dpi):
    """At 0.45 modules an edge takes 2.56 x 0.45 = 1.15 modules from a tenth to nine tenths.

    At 0.6 a lone module keeps 35 % of its contrast, (erf(0.5 / (0.6 sqrt 2)))^2: no reader finds it.
    """
    picture, modules = square(level, dpi)
    radius = 0.45 * picture.width / (modules + 8)
    blurred = on_ground(picture, "#ffffff").filter(ImageFilter.GaussianBlur(radius))
    assert read(blurred) == [ADDRESS]


@dpis
@levels
@pytest.mark.parametrize("ground", GROUNDS)
def test_a_code_is_read_on_any_ground(level, dpi, ground):
    """The quiet zone is part of the artwork, so the ground may be dark."""
    picture, _modules = square(level, dpi)
    assert read(on_ground(picture, GROUNDS[ground])) == [ADDRESS]


def test_without_its_quiet_zone_a_code_on_a_dark_ground_is_lost():
    """So the grounds above do ask something of the label."""
    picture, modules = square("Q", 300)
    quiet = 4 * picture.width / (modules + 8)
    bare = picture.crop((quiet, quiet, picture.width - quiet, picture.height - quiet))
    assert read(on_ground(bare, GROUNDS["dark"])) == []


@dpis
@pytest.mark.parametrize("stock", STOCKS)
def test_a_code_is_read_on_coloured_stock(dpi, stock):
    picture, _modules = square("Q", dpi)
    paper = Image.new("RGB", picture.size, STOCKS[stock])
    assert read(on_ground(ImageChops.multiply(picture, paper), STOCKS[stock])) == [ADDRESS]


@dpis
@levels
@pytest.mark.parametrize(
    "at", [(0.5, 0.5), (0.8, 0.5), (0.5, 0.8)], ids=["middle", "right", "foot"]
)
def test_a_code_with_a_tenth_lost_is_read(level, dpi, at):
    picture, modules = square(level, dpi)
    assert read(on_ground(damaged(picture, modules, at), "#ffffff")) == [ADDRESS]


@dpis
def test_a_turned_blurred_and_damaged_code_on_a_dark_ground_is_read(dpi):
    picture, modules = square("H", dpi)
    hurt = on_ground(damaged(picture, modules, (0.5, 0.5)), GROUNDS["dark"], 7)
    radius = 0.4 * picture.width / (modules + 8)
    assert read(hurt.filter(ImageFilter.GaussianBlur(radius))) == [ADDRESS]


@dpis
@levels
def test_the_printed_modules_are_those_of_the_code(level, dpi):
    """Each module is dark or light in its middle as the encoder says."""
    picture, modules = square(level, dpi)
    grey = numpy.array(picture.convert("L"))
    middles = ((numpy.arange(modules) + 4.5) * picture.width / (modules + 8)).astype(int)
    assert (grey[numpy.ix_(middles, middles)] < 128).tolist() == [
        list(row) for row in qr_matrix(ADDRESS, level)
    ]


@dpis
@levels
def test_four_modules_around_the_code_are_blank(level, dpi):
    """ISO/IEC 18004: a quiet zone four modules wide."""
    picture, modules = square(level, dpi)
    dark = numpy.argwhere(numpy.array(picture.convert("L")) < 128)
    module = picture.width / (modules + 8)
    first, last = dark.min(axis=0), picture.width - 1 - dark.max(axis=0)
    assert min(first.min(), last.min()) >= 4 * module - 1
