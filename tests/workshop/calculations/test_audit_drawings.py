"""The picture of a trace on paper: inside the page, its boxes apart, its texts inside their boxes."""

from itertools import combinations

import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Path, Rect, String
from reportlab.lib.colors import white
from reportlab.pdfbase.pdfmetrics import stringWidth

from inventory.calculations.family_trees import family_tree
from products.calculations.label_fonts import STRONG, face
from products.calculations.papers import WIDTH
from workshop.calculations.audit_drawings import (
    TALLEST,
    fitted,
    shortened,
    square_code,
    trace_drawing,
)


def picture(links, *, is_down=False, name="part 6668 M39X 80HP"):
    """A picture of links between numbered lots."""
    order = sorted({lot for link in links for lot in link}) or [1]
    tree = family_tree([(*link, 1_000_000) for link in links], {}, order=order)
    return {
        "width": tree.width,
        "height": tree.height,
        "is_down": is_down,
        "boxes": [
            {"x": round(b.x * 10), "y": round(b.y * 10), "name": name, "note": "1 kg", "srgb": "#aa0000"}
            for b in tree.boxes
        ],
        "lines": [
            {"path": each.path, "width": round(each.width * 10), "is_return": each.is_return}
            for each in tree.lines
        ],
    }  # fmt: skip


def frames(drawing):
    return [
        (each.x, each.y, each.x + each.width, each.y + each.height)
        for each in drawing.contents
        if isinstance(each, Rect) and each.fillColor == white
    ]


def overlap(one, two) -> bool:
    return one[0] < two[2] and two[0] < one[2] and one[1] < two[3] and two[1] < one[3]


LINKS = {
    "one": [],
    "chain": [(number, number + 1) for number in range(1, 11)],
    "fan": [(1, number) for number in range(2, 17)],
    "grid": [(number, number + step) for number in range(1, 16) for step in (2, 3)],
}


@pytest.mark.parametrize("is_down", [False, True], ids=["across", "down"])
@pytest.mark.parametrize("case", LINKS)
def test_a_picture_lies_within_the_page_and_its_boxes_apart(case, is_down):
    drawing = trace_drawing(picture(LINKS[case], is_down=is_down))
    assert drawing.width <= WIDTH
    assert drawing.height <= TALLEST
    boxes = frames(drawing)
    assert boxes
    assert min(box[0] for box in boxes) >= 0
    assert max(box[2] for box in boxes) <= WIDTH + 0.01
    assert min(box[1] for box in boxes) >= 0
    assert max(box[3] for box in boxes) <= drawing.height + 0.01
    assert [pair for pair in combinations(boxes, 2) if overlap(*pair)] == []


@pytest.mark.parametrize("is_down", [False, True], ids=["across", "down"])
@pytest.mark.parametrize("case", ["chain", "grid"])
def test_every_text_lies_within_a_box(case, is_down):
    drawing = trace_drawing(picture(LINKS[case], is_down=is_down))
    boxes = frames(drawing)
    texts = [each for each in drawing.contents if isinstance(each, String)]
    assert texts
    for text in texts:
        right = text.x + stringWidth(text.text, text.fontName, text.fontSize)
        place = (text.x, text.y, right, text.y + text.fontSize * 0.7)
        assert any(
            b[0] <= place[0] and b[1] <= place[1] and place[2] <= b[2] + 0.01 and place[3] <= b[3]
            for b in boxes
        ), text.text


def test_wider_lines_carry_more_and_what_comes_back_is_dashed():
    shown = picture(LINKS["chain"])
    shown["lines"][0]["width"], shown["lines"][1]["is_return"] = 15, True
    thin, dashed, *others = [e for e in trace_drawing(shown).contents if isinstance(e, Path)]
    assert thin.strokeWidth < others[0].strokeWidth
    assert dashed.strokeDashArray
    assert not others[0].strokeDashArray


@given(st.text(max_size=60), st.floats(12, 200))
def test_a_name_is_cut_to_its_room(text, room):
    face(STRONG)
    for line in [shortened(text, STRONG, 6, room), *fitted(text, room, 30)]:
        assert stringWidth(line, STRONG, 6) <= room


def test_the_square_code_reads_as_its_address(tmp_path):
    """Read by a general decoder, after drawing by reportlab and pdfium."""
    pdfium = pytest.importorskip("pypdfium2")
    text = "https://shop.example/audits/3f1f0d64-7f5e-4a4e-9d28-0d6f2a1f3b11/"
    file = tmp_path / "code.pdf"
    renderPDF.drawToFile(square_code(text, 102), str(file))
    image = pdfium.PdfDocument(str(file))[0].render(scale=4).to_numpy()
    (found,) = [each.text for each in zxingcpp.read_barcodes(image)]
    assert found == text
