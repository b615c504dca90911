"""Sheets read back: a printed code leads to its thing, and the same sheet is the same bytes."""

import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from products.actions.labels import void_label
from products.queries.sheets import outlook_of, preview_of, sheet_of, single_png, single_svg
from products.queries.things import Thing
from tests.factories.grids import GridFactory, RollFactory
from tests.factories.inventory import BinFactory, make_act, make_full_bin

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin(operator):
    return make_full_bin(operator)[0]


@pytest.fixture
def printing(bin, stick):
    return stick("bin", bin.code)


def read(pdf, dpi=300):
    picture = pypdfium2.PdfDocument(pdf)[0].render(scale=dpi / 72).to_pil()
    return [found.text for found in zxingcpp.read_barcodes(picture)]


def test_the_printed_code_says_the_address_of_the_thing(printing, bin, settings):
    """Read by PDFium and zxing-cpp, which share no code with what printed it."""
    assert read(sheet_of(printing)) == [f"{settings.SITE_URL}/q/{bin.code}"]


def test_the_same_printing_is_the_same_bytes(printing):
    assert sheet_of(printing) == sheet_of(printing)


def test_the_sheet_starts_where_it_was_told(bin, operator, stick, printing):
    printing.start = 24
    words = pypdfium2.PdfDocument(sheet_of(printing))[0].get_textpage()
    assert bin.name in words.get_text_bounded(left=400, bottom=0, right=600, top=150)


def test_a_printing_of_void_labels_has_no_sheet(printing, operator):
    void_label(label=printing.labels.get(), act=make_act(operator, "torn"))
    assert sheet_of(printing) is None


def test_a_printing_without_its_grid_has_no_sheet(printing):
    printing.grid = None
    assert sheet_of(printing) is None


def test_a_single_label_is_read_from_its_png(printing, settings, bin, tmp_path):
    picture = single_png(printing.labels.get(), width_mm=57, height_mm=32, dpi=203)
    (tmp_path / "label.png").write_bytes(picture)
    found = zxingcpp.read_barcodes(Image.open(tmp_path / "label.png"))
    assert [each.text for each in found] == [f"{settings.SITE_URL}/q/{bin.code}"]


def test_a_single_label_is_an_svg_of_its_size(printing):
    assert 'width="57mm" height="32mm"' in single_svg(
        printing.labels.get(), width_mm=57, height_mm=32
    )


def test_the_preview_shows_the_page_of_the_grid(bin):
    drawn = preview_of([Thing("bin", bin.code)], GridFactory(), 3)
    assert 'width="210mm" height="297mm"' in drawn
    assert bin.name in drawn


def test_the_outlook_counts_sheets(bin):
    things = [Thing("bin", BinFactory().code) for _number in range(5)]
    assert outlook_of(things, GridFactory(), 21).sheets == 2


def test_the_outlook_warns_of_a_code_too_small_to_read(bin):
    """0.5 mm for a module: Denso Wave, module size guide."""
    small = RollFactory(page_width_mm=30, page_height_mm=15, label_width_mm=30, label_height_mm=15)
    outlook = outlook_of([Thing("bin", bin.code)], small, 1)
    assert outlook.notes[0].code == "module-size"
    assert outlook.left_out
