"""A paper: a plain PDF of headings, text, facts and long tables, the same bytes for the same content.

Set in the faces of the labels. Tables go on over pages and repeat their headings; text
wraps in its column. Nothing of the moment of printing is put in.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Drawing
from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    LongTable,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
)
from reportlab.platypus import Table as Columns

from products.calculations.label_fonts import MONO, PLAIN, STRONG, clean, face

INK, HAIRLINE, SOFT = HexColor("#1b1a17"), HexColor("#8a857a"), HexColor("#5b574e")
MARGIN = 18 * mm
FRAME_PADDING = 6  # points that reportlab leaves on each side of what it places
WIDTH = A4[0] - 2 * (MARGIN + FRAME_PADDING)
ROOM = 30 * mm  # that a heading needs below it, or it goes to the next page
RIGHT_PADDING = 12  # points that a column takes beside its drawing
AT_ONCE = 400  # rows; a table that is cut over pages costs the square of its rows

TITLE = ParagraphStyle("title", fontName=STRONG, fontSize=20, leading=25, textColor=INK)
HEADING = ParagraphStyle(
    "heading", fontName=STRONG, fontSize=13, leading=17, spaceBefore=12, spaceAfter=4, textColor=INK
)
TEXT = ParagraphStyle("text", fontName=PLAIN, fontSize=9.5, leading=13, spaceAfter=5, textColor=INK)
CELL = ParagraphStyle("cell", fontName=PLAIN, fontSize=8, leading=10, textColor=INK)
NUMBER = ParagraphStyle("number", parent=CELL, alignment=2)
HEAD = ParagraphStyle("head", parent=CELL, fontName=STRONG)
HEAD_NUMBER = ParagraphStyle("head-number", parent=HEAD, alignment=2)
CODE = ParagraphStyle("code", parent=TEXT, fontName=MONO, fontSize=8, leading=11, wordWrap="CJK")
CODE_LINE = ParagraphStyle("code-line", parent=CODE, spaceAfter=0)


@dataclass(frozen=True)
class Heading:
    """A heading within the paper."""

    text: str


@dataclass(frozen=True)
class Text:
    """A paragraph."""

    text: str


@dataclass(frozen=True)
class Code:
    """A hash, code or command: each line of the text on its own, and broken anywhere if it is too wide."""

    text: str


@dataclass(frozen=True)
class Table:
    """Rows under headings; a width is a share of the page, a heading that ends in "|" stands to the right."""

    headings: Sequence[str]
    rows: Sequence[Sequence]
    widths: Sequence[float] = ()


@dataclass(frozen=True)
class Beside:
    """Headings and texts with a drawing to their right."""

    blocks: Sequence
    drawing: Drawing


def paper_pdf(title: str, blocks: Sequence, *, foot: str = "") -> bytes:
    """Return an A4 paper as PDF; `foot` stands below each page beside its number.

    A block is one of the classes here, or anything that reportlab can place.
    """
    for name in (PLAIN, STRONG, MONO):
        face(name)
    story = [Paragraph(printed(title), TITLE), Spacer(0, 4 * mm)]
    for block in blocks:
        story += flowables(block)
    out = BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN + 6 * mm,
        title=clean(title),
        invariant=1,
    )
    foot_line = footed(clean(foot) or clean(title))
    document.build(story, onFirstPage=foot_line, onLaterPages=foot_line)
    return out.getvalue()


def printed(text) -> str:
    """Return text for a paragraph, with nothing in it taken for markup."""
    return escape(clean(str(text)))


def flowables(block) -> list[Flowable]:
    """Return what a block is made of on the page."""
    if isinstance(block, Heading):
        return [CondPageBreak(ROOM), Paragraph(printed(block.text), HEADING)]
    if isinstance(block, Text):
        return [Paragraph(printed(block.text), TEXT)]
    if isinstance(block, Code):
        *lines, last = block.text.splitlines() or [""]
        above = [Paragraph(printed(line), CODE_LINE) for line in lines]
        return [*above, Paragraph(printed(last), CODE)]
    if isinstance(block, Table):
        return tables(block)
    if isinstance(block, Beside):
        return [side_by_side(block)]
    return [block]


def side_by_side(block: Beside) -> Columns:
    """Return texts with a drawing to their right, both from the same height on."""
    placed = [each for inner in block.blocks for each in flowables(inner)]
    left = [each for each in placed if not isinstance(each, CondPageBreak)]
    lines = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, 0), 0)]
    right = block.drawing.width + RIGHT_PADDING
    return Columns([[left, block.drawing]], colWidths=[WIDTH - right, right], style=lines)


def tables(block: Table) -> list[Flowable]:
    """Return a table cut into lengths that are quick to place."""
    right = [heading.endswith("|") for heading in block.headings]
    head = [
        Paragraph(printed(heading.rstrip("|")), HEAD_NUMBER if is_right else HEAD)
        for heading, is_right in zip(block.headings, right, strict=True)
    ]
    shares = block.widths or [1 / len(right)] * len(right)
    made = []
    for start in range(0, len(block.rows), AT_ONCE):
        rows = [
            [
                Paragraph(printed(cell), NUMBER if is_right else CELL)
                for cell, is_right in zip(row, right, strict=True)
            ]
            for row in block.rows[start : start + AT_ONCE]
        ]
        made.append(one_table([head, *rows], [share * WIDTH for share in shares]))
    return made


def one_table(rows, widths) -> LongTable:
    """Return a table with hairlines between its rows."""
    lines = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
        ("LINEBELOW", (0, 1), (-1, -1), 0.25, HAIRLINE),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return LongTable(rows, colWidths=widths, repeatRows=1, style=lines)


def footed(text: str):
    """Return the function that prints the foot of a page."""

    def print_foot(canvas: Canvas, document) -> None:
        canvas.saveState()
        canvas.setFont(PLAIN, 7.5)
        canvas.setFillColor(SOFT)
        canvas.drawString(MARGIN, MARGIN - 2 * mm, text[:120])
        canvas.drawRightString(A4[0] - MARGIN, MARGIN - 2 * mm, str(document.page))
        canvas.restoreState()

    return print_foot
