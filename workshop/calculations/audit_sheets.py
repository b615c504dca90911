"""An audit file as a PDF: a cover with question, answer and square code, then its sections.

Nothing of the moment of printing is put in, so the same content is the same bytes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.platypus import PageBreak, Spacer

from products.calculations.papers import Beside, Code, Heading, Table, Text, paper_pdf
from workshop.calculations.audit_drawings import square_code, trace_drawing

QR_SIDE = 36 * mm
GAP = 4 * mm
LINE_LETTERS = 85  # of a command that fit beside each other


@dataclass(frozen=True)
class Cover:
    """What stands on the first page; `facts` and `answer` are pairs of label and text.

    `line` is what the ZIP is held against: size and root of the checkpoint, and the fingerprint.
    """

    number: str
    title: str
    question: str
    facts: Sequence[Sequence[str]]
    answer: Sequence[Sequence[str]]
    address: str
    line: str
    headings: Sequence[str]


def audit_pdf(
    cover: Cover, blocks: Sequence[list], picture: Mapping, commands: Sequence[str]
) -> bytes:
    """Return the whole paper."""
    made = {
        "heading": lambda text: [Heading(text)],
        "text": lambda text: [Text(text)],
        "code": lambda text: [Code(text)],
        "table": lambda headings, rows, widths: [
            Table(headings, rows, [percent / 100 for percent in widths])
        ],
        "picture": lambda: [trace_drawing(picture), Spacer(0, GAP)],
        "commands": lambda: [Code(shell_lines(each)) for each in commands],
    }
    placed = [each for kind, *parts in blocks for each in made[kind](*parts)]
    title = f"{cover.title} {cover.number}"
    return paper_pdf(
        title, [*cover_blocks(cover), PageBreak(), *placed], foot=f"{title} · {cover.question}"
    )


def split_line(line: str) -> list[str]:
    """Return the line that a ZIP is held against in two that fit on the paper: up to its last colon, and the rest.

    >>> split_line("2560:34a3:e840")
    ['2560:34a3:', 'e840']
    """
    before, colon, mark = line.rpartition(":")
    return [before + colon, mark]


def shell_lines(command: str) -> str:
    """Return a command on lines that are copied one by one: a shell joins what a backslash ends (POSIX.1, 2.2.1).

    >>> print(shell_lines("python3 -I verify_audit.py A-0001.zip " + "1:" + "a" * 64 + ":" + "b" * 4))
    python3 -I verify_audit.py A-0001.zip \\
    1:aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa:\\
    bbbb
    """
    if len(command) <= LINE_LETTERS:
        return command
    called, space, line = command.rpartition(" ")
    return "\\\n".join([called + space, *split_line(line)])


def cover_blocks(cover: Cover) -> list:
    """Return the first page: what was asked, the answer in figures, where it is opened again."""
    question, answer, address, line = cover.headings
    facts = Table(["", ""], cover.facts, [0.3, 0.7])
    beside = [Heading(address), Code(cover.address)]
    beside += [Heading(line), Code("\n".join(split_line(cover.line)))]
    return [
        Heading(question),
        Text(cover.question),
        Heading(answer),
        *([Table(["", ""], cover.answer, [0.45, 0.55])] if cover.answer else []),
        Spacer(0, GAP),
        facts,
        Spacer(0, GAP),
        Beside(beside, square_code(cover.address, QR_SIDE)),
    ]
