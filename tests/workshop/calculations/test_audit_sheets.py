"""The paper of an audit file: a cover, each section, long texts within the page, the same bytes each time."""

from dataclasses import replace
from io import BytesIO
from subprocess import run

import pdfplumber

from tests.workshop.calculations.test_audit_drawings import LINKS, picture
from workshop.calculations.audit_sheets import Cover, audit_pdf

LONG = "a word " * 80
COVER = Cover(
    number="A-0001",
    title="Audit file",
    question="What does this consist of? " + LONG,
    facts=[["Workshop", "An invented workshop, by the river"], ["Checkpoint", "C-0001"]],
    answer=[["Mass asked about", "6.961 kg"], ["post-consumer", "99.98 %, 6.959906 kg"]],
    address="https://shop.example/audits/3f1f0d64-7f5e-4a4e-9d28-0d6f2a1f3b11/",
    line="99:0123456789abcdef" * 4,
    headings=["Question", "Answer", "Address", "SIZE:ROOT:FINGERPRINT"],
)
BLOCKS = [
    ["heading", "Picture of the trace"],
    ["picture"],
    ["heading", "Postings"],
    ["table", ["Posting", "Why", "Mass|"], [["P-00001", LONG, "1 kg"]] * 40, [20, 60, 20]],
    ["heading", "Checkpoint"],
    ["code", "f" * 140],
    ["commands"],
    ["text", LONG],
]


CHECK = f"python3 -I verify_audit.py A-0001.zip 1234567890:{'a' * 64}:{'b' * 64}"


def made() -> bytes:
    return audit_pdf(COVER, BLOCKS, picture(LINKS["grid"]), ["curl -O x", "python3 -I y", CHECK])


def pages():
    with pdfplumber.open(BytesIO(made())) as paper:
        return [(page.extract_text(), page.chars, page.width) for page in paper.pages]


def test_the_same_content_is_the_same_bytes():
    assert made() == made()


def test_the_cover_stands_alone_with_question_answer_and_fingerprint():
    text, *_rest = pages()[0]
    for part in ("Audit file A-0001", "Question", "6.961 kg", "99.98 %", "shop.example/audits"):
        assert part in text
    assert "0123456789abcdef" in text
    assert "Postings" not in text


def test_every_section_is_there_and_long_tables_repeat_their_headings():
    texts = [text for text, *_rest in pages()]
    whole = "\n".join(texts)
    for part in ("Picture of the trace", "Postings", "Checkpoint", "curl -O x", "python3 -I y"):
        assert part in whole
    assert whole.count("P-00001") == 40
    assert sum("Posting Why" in text for text in texts) > 3


def test_nothing_runs_off_the_page():
    for _text, letters, width in pages():
        assert min(letter["x0"] for letter in letters) > 40
        assert max(letter["x1"] for letter in letters) < width - 40


def test_a_shell_reads_the_printed_command_line_by_line_as_what_it_was():
    lines = "\n".join(text for text, *_rest in pages()).splitlines()
    first = next(n for n, line in enumerate(lines) if line.startswith("python3 -I verify"))
    printed = "\n".join(lines[first : first + 3])
    # The shell itself says which words it reads; POSIX.1-2017, 2.2.1: backslash and newline are taken out.
    told = run(["sh", "-c", f"printf '%s|' {printed}"], capture_output=True, text=True, check=True)
    assert told.stdout.rstrip("|").split("|") == CHECK.split()


def test_the_line_of_the_cover_breaks_after_the_root_only():
    cover = replace(COVER, line=f"1234567890:{'a' * 64}:{'b' * 64}")
    octets = audit_pdf(cover, [], {}, [])
    with pdfplumber.open(BytesIO(octets)) as paper:
        lines = paper.pages[0].extract_text().splitlines()
    assert f"1234567890:{'a' * 64}:" in lines
    assert "b" * 64 in lines


def test_every_page_names_the_file_and_its_number():
    for number, (text, *_rest) in enumerate(pages(), 1):
        *_lines, last = text.splitlines()
        assert last.startswith("Audit file A-0001")
        assert last.endswith(str(number))


def test_a_heading_never_ends_a_page():
    headings = {"Picture of the trace", "Postings", "Checkpoint"}
    lasts = [text.splitlines()[-2] for text, *_rest in pages()]
    assert headings.isdisjoint(lasts)
