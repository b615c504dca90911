"""Papers, read back by a PDF reader that is not ours."""

from io import BytesIO

import pdfplumber
import pytest
from reportlab.lib.pagesizes import A4

from products.calculations.papers import Code, Heading, Table, Text, paper_pdf

LONG = Table(["What", "Mass|"], [[f"lot {n}", f"{n} kg"] for n in range(900)], [0.7, 0.3])


def pages(octets):
    with pdfplumber.open(BytesIO(octets)) as paper:
        return [(page.width, page.height, page.extract_text(), page.chars) for page in paper.pages]


def test_a_paper_is_a4_and_says_what_it_was_given():
    blocks = [Heading("Where it is"), Text("In bin B-07 & <b>nowhere</b> else."), Code("ab" * 32)]
    (width, height, text, _chars) = pages(paper_pdf("Recall", blocks))[0]
    assert (width, height) == pytest.approx(A4, abs=0.1)
    assert "In bin B-07 & <b>nowhere</b> else." in text
    assert "ab" * 32 in text.replace("\n", "")


def test_a_long_table_goes_on_and_repeats_its_headings():
    found = pages(paper_pdf("Recall", [LONG], foot="RC-0001"))
    assert len(found) > 10
    assert all("What" in text and "RC-0001" in text for _w, _h, text, _c in found)
    assert sum(text.count("lot ") for _w, _h, text, _c in found) == 900


def test_nothing_stands_outside_the_page():
    wide = Table(["What"], [["an-unbreakably-long-word-" * 12]])
    for width, height, _text, chars in pages(paper_pdf("Recall", [wide, LONG])):
        assert all(c["x0"] >= 0 and c["x1"] <= width and c["top"] >= 0 for c in chars)
        assert all(c["bottom"] <= height for c in chars)


def test_tables_begin_where_headings_and_texts_do():
    blocks = [Heading("Where"), Text("Here."), Table(["What"], [["lot 1"]])]
    with pdfplumber.open(BytesIO(paper_pdf("Recall", blocks))) as paper:
        begins = {word["text"]: word["x0"] for word in paper.pages[0].extract_words()}
    firsts = [begins[word] for word in ("Where", "Here.", "What", "lot")]
    assert max(firsts) - min(firsts) < 1.5


def test_the_same_content_gives_the_same_bytes():
    assert paper_pdf("Recall", [LONG]) == paper_pdf("Recall", [LONG])


def test_names_in_greek_and_cyrillic_are_printed():
    text = "\u039c\u03b1\u03c1\u03af\u03b1 \u0418\u0432\u0430\u043d"
    assert text in pages(paper_pdf("Recall", [Text(text)]))[0][2]
