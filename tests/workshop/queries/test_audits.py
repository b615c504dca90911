"""An audit file as its paper and its ZIP: opened again the same, whatever came since, and checked alone."""

import json
from datetime import timedelta
from io import BytesIO
from zipfile import ZipFile

import pypdfium2
import pytest
from django.utils import timezone
from django.utils.translation import override

from inventory.calculations.codes import group_code
from inventory.models import Lot, Posting
from inventory.queries import entries
from inventory.queries.entries import leaves_in
from tests.factories.audits import make_audit, make_story
from tests.factories.book import tamper
from tests.factories.inventory import make_act, make_delivery
from tests.factories.mendings import make_fix, mend
from tests.workshop.calculations.test_audit_archives import checked, verified
from workshop.actions.audits import make_audit_file
from workshop.models import AuditFile
from workshop.queries import audit_entries, audit_words
from workshop.queries.audit_entries import MOST_ROWS
from workshop.queries.audit_questions import Question, question_of
from workshop.queries.audit_words import classes_said, cut_table, moment_said, names_called
from workshop.queries.audits import audit_list, audit_paper, content_for, paper_line
from workshop.queries.audits import audit_zip as audit_chunks

pytestmark = pytest.mark.django_db

QUESTIONS = ["part", "delivery", "run", "design", "source", "period"]


@pytest.fixture
def story(operator, lead):
    return make_story(operator, lead)


def asked(name: str, story, by) -> AuditFile:
    """Make the audit file of one kind of question."""
    today = timezone.localdate()
    return {
        "part": lambda: make_audit(by, "lot", story.part.code),
        "delivery": lambda: make_audit(by, "lot", story.second.code),
        "run": lambda: make_audit(by, "run", story.run.number),
        "design": lambda: make_audit(by, "design", "Board 600", today, today),
        "source": lambda: make_audit(by, "source", "Market hall"),
        "period": lambda: make_audit(by, since=today - timedelta(days=2), until=today),
    }[name]()


def audit_zip(made: AuditFile) -> bytes:
    return b"".join(audit_chunks(made))


def text_of(octets: bytes) -> str:
    """Return the text of a PDF as pdfium reads it."""
    paper = pypdfium2.PdfDocument(octets)
    return " ".join(
        " ".join(page.get_textpage().get_text_range().split()) for page in paper
    )  # fmt: skip


def files_of(octets: bytes) -> dict:
    with ZipFile(BytesIO(octets)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.mark.parametrize("name", QUESTIONS)
def test_the_script_finds_every_kind_of_file_good(name, story, lead, tmp_path):
    made = asked(name, story, lead)
    copy = f"{made.checkpoint.size}:{made.checkpoint.root}"
    is_good, said = verified(tmp_path, audit_zip(made), copy)
    assert is_good, said
    assert made.question in said


SECTIONS = {
    "part": ["Origins", "Hill school", "Market hall", "Share", "5 kg", "Bench scale", "U = 580 mg"],
    "delivery": ["Where it was", "the wrong bin was scanned", "undoes P-"],
    "run": ["Loaded", "Became: offcut", "Became: part", "Origins", "U = 820 mg"],
    "design": ["Board 600", "made from", "Origins"],
    "source": ["Where it was", "Left the workshop", "Market hall"],
    "period": ["In stock before", "Came in", "20 kg", "In stock after", "smelt of oil"],
}


@pytest.mark.parametrize("name", QUESTIONS)
def test_the_paper_has_every_section_in_words_with_units(name, story, lead):
    made = asked(name, story, lead)
    text = text_of(audit_paper(made))
    everywhere = [
        f"Audit file {made.number}",
        "Question",
        made.question,
        "Answer",
        "Picture of the trace",
        "Postings",
        "Corrections",
        "Weighing uncertainty",
        "Method",
        "JCGM 100",
        "Checkpoint, and how to check this file",
        "python3 -I verify_audit.py",
        made.checkpoint.number,
    ]
    assert [part for part in everywhere + SECTIONS[name] if part not in text] == []
    assert made.checkpoint.root[:24] in text


@pytest.mark.parametrize("name", ["part", "source", "period"])
def test_a_file_is_the_same_bytes_whatever_is_entered_later(name, story, operator, lead):
    made = asked(name, story, lead)
    first = audit_paper(made), audit_zip(made)
    make_delivery(operator, source=story.first.delivery.source)
    asked(name, story, lead)
    again = AuditFile.objects.get(pk=made.pk)
    assert (audit_paper(again), audit_zip(again)) == first


def test_a_file_is_the_same_after_what_it_tells_was_corrected_and_renamed(story, lead):
    made = asked("part", story, lead)
    first = audit_paper(made), audit_zip(made)
    moved = Posting.objects.standing().filter(transfers__source=story.second).earliest("pk")
    mend(lead, make_fix(moved, 9))
    source = story.second.delivery.source
    source.name = "Another name"
    source.save()
    again = AuditFile.objects.get(pk=made.pk)
    assert (audit_paper(again), audit_zip(again)) == first
    assert asked("part", story, lead).content["origins"] != made.content["origins"]


@pytest.mark.parametrize("name", QUESTIONS)
def test_the_answer_is_reckoned_again_as_known_at_its_checkpoint(name, story, lead, operator):
    made = asked(name, story, lead)
    moved = Posting.objects.standing().filter(transfers__source=story.second).earliest("pk")
    mend(lead, make_fix(moved, 9))
    make_delivery(operator, source=story.first.delivery.source)
    again = content_for(question_of(made), made.checkpoint)
    figures = ("roots", "total_mg", "origins", "whereabouts", "balance", "weighings", "spans")
    assert {key: again[key] for key in figures} == {key: made.content[key] for key in figures}


def test_the_paper_says_when_its_position_was_and_not_when_it_was_opened(story, lead):
    made = asked("part", story, lead)
    text = text_of(audit_paper(made))
    newest = max(
        Posting.objects.latest("recorded_at").recorded_at,
        story.part.lot.holds.get().placed_at,
    )
    known_at = made.content["checkpoint"]["known_at"]
    assert known_at <= made.made_at.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    assert known_at >= newest.strftime("%Y-%m-%dT%H:%M:%S.%fZ")[:16]
    assert "As the book knew it on" in text


def test_a_book_that_was_changed_behind_its_guards_gives_a_file_that_fails(story, lead, tmp_path):
    made = asked("part", story, lead)
    tamper("UPDATE inventory_transfer SET mass_mg = mass_mg + 1 WHERE role = 'part'")
    is_good, said = verified(tmp_path, audit_zip(made))
    assert not is_good
    assert f"{story.part.made_in.number}: is not the entry that the checkpoint holds" in said


def test_the_zip_holds_the_same_as_tables_json_and_proofs(story, lead):
    made = asked("part", story, lead)
    files = files_of(audit_zip(made))
    assert set(files) == {
        "README.txt", "audit.json", "checkpoint.json", "entries.csv", "entries.json",
        "origins.csv", "transfers.csv", "verify_audit.py", "weighings.csv",
    }  # fmt: skip
    audit = json.loads(files["audit.json"])
    assert audit["question"] == made.question
    assert audit["address"].endswith(made.get_absolute_url())
    assert audit["uncertainty"]["coverage"] == 2
    assert files["weighings.csv"].decode().count("Bench scale") == 1
    assert f"{made.checkpoint.size}:{made.checkpoint.root}" in files["README.txt"].decode()


def test_the_fingerprint_on_the_paper_is_the_one_that_the_script_prints(story, lead, tmp_path):
    made = asked("part", story, lead)
    _, said = verified(tmp_path, audit_zip(made))
    (fingerprint,) = [
        line.split()[1] for line in said.splitlines() if line.startswith("fingerprint")
    ]
    assert fingerprint in text_of(audit_paper(made)).replace(" ", "")


def test_the_one_line_on_cover_last_page_and_page_is_all_that_the_script_asks_for(
    story, lead, tmp_path
):
    made = asked("part", story, lead)
    line = paper_line(made)
    assert line.startswith(f"{made.checkpoint.size}:{made.checkpoint.root}:")
    assert checked(tmp_path, audit_zip(made), line)[0] == 0
    paper = pypdfium2.PdfDocument(audit_paper(made))
    told = ["".join(page.get_textpage().get_text_range().split()) for page in paper]
    assert line in told[0]
    assert f"{made.number}.zip{line}" in "".join(told[1:]).replace("\\", "")


def test_the_cover_says_who_made_it_when_and_for_whom(story, lead):
    question = Question("lot", story.part.code)
    made = make_audit_file(question=question, act=make_act(lead, "for the brewery"))
    (cover, *_rest) = pypdfium2.PdfDocument(audit_paper(made))
    text = " ".join(cover.get_textpage().get_text_range().split())
    assert f"Made {moment_said(made.made_at)} by {lead}" in text
    assert "For whom or why for the brewery" in text


def test_a_paper_of_before_says_who_made_it_and_its_line_too(story, lead):
    """Such a file kept neither the words of that nor the heading of the line."""
    made = asked("part", story, lead)
    made.content["cover"]["headings"].append("Fingerprint")
    del made.content["made"]
    first = audit_paper(made)
    text = text_of(first)
    assert f"by {lead}" in text
    assert "SIZE:ROOT:FINGERPRINT" in text
    with override("de"):
        assert audit_paper(made) == first


def test_a_fill_that_gave_something_says_what_went_in_and_what_was_left(story, lead):
    """10 kg and 10 kg were filled in, 6 kg loaded; 20 kg are asked about, 14 kg in the bin."""
    (fill,) = Lot.objects.filter(kind=Lot.Kind.FILL, given__role="loaded").distinct()
    made = make_audit(lead, "lot", fill.code)
    told = ["What was filled into it", "20 kg, of which 14 kg were in it when the book was asked"]
    assert told in made.content["cover"]["answer"]
    whole = make_audit(lead, "lot", story.part.code)
    assert ["Mass asked about", "5 kg"] in whole.content["cover"]["answer"]


def test_the_picture_says_what_squares_and_dashes_mean(story, lead):
    text = text_of(audit_paper(asked("part", story, lead)))
    assert "A small square shows the colour" in text
    assert "A dashed line goes back" in text


def test_a_decision_is_about_what_people_call_it(story, lead):
    """The book has the code of the lot: so the ZIP does, and the paper what is written on the bag."""
    codes = {story.first.code, story.run.code, "no code"}
    called = {story.first.code: story.first.delivery.number, story.run.code: story.run.number}
    assert names_called(codes) == called
    made = asked("part", story, lead)
    tables = [block for block in made.content["blocks"] if block[0] == "table"]
    (subjects,) = [{row[3] for row in table[2]} for table in tables if table[1][0] == "Entry"]
    assert f"part {group_code(story.part.code)}" in subjects
    assert story.part.code not in subjects


def test_a_list_of_files_reads_no_contents(story, lead, django_assert_num_queries):
    asked("part", story, lead)
    asked("run", story, lead)
    with django_assert_num_queries(1):
        rows = [(each.number, each.question, str(each.by), each.checkpoint.number)
                for each in audit_list()]  # fmt: skip
    assert len(rows) == 2
    assert "content" in audit_list()[0].get_deferred_fields()


def test_opening_a_file_costs_few_queries(story, lead, django_assert_max_num_queries):
    made = AuditFile.objects.get(pk=asked("period", story, lead).pk)
    with django_assert_max_num_queries(25):
        audit_zip(made)
    with django_assert_max_num_queries(5):
        audit_paper(made)


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_file_is_the_same_read_entry_by_entry(name, story, lead, monkeypatch):
    made = asked(name, story, lead)
    whole = audit_zip(made)
    monkeypatch.setattr(entries, "AT_ONCE", 1)
    assert audit_zip(made) == whole


def test_a_file_whose_places_were_kept_one_by_one_opens_as_ever(story, lead, tmp_path):
    """As all files were kept before a period could be of any length."""
    made = asked("part", story, lead)
    whole, content = audit_zip(made), dict(made.content)
    content["leaves"] = list(leaves_in(content.pop("spans")))
    del content["moved_mg"]
    made.content = content
    assert audit_zip(made) == whole


def test_a_changed_place_of_a_real_answer_ahead_is_found(story, lead, tmp_path):
    made = asked("delivery", story, lead)
    first, second = made.content["whereabouts"][:2]
    first["mass_mg"], second["mass_mg"] = first["mass_mg"] - 1_000, second["mass_mg"] + 1_000
    is_good, said = verified(tmp_path, audit_zip(made))
    assert not is_good
    assert f"{first['lot']}: {first['mass_mg']} mg, the transfers give" in said


def test_a_table_is_cut_on_paper_and_says_how_many_rows_stand_in_the_zip(story, lead, monkeypatch):
    monkeypatch.setattr(audit_entries, "MOST_ROWS", 1)
    monkeypatch.setattr(audit_words, "MOST_ROWS", 1)
    made = asked("period", story, lead)
    lines = files_of(audit_zip(made))["transfers.csv"].decode().count("\r\n") - 1
    sentence = (
        f"These are the first of {lines} rows; {lines - 1} more stand in the tables of the ZIP."
    )
    assert ["text", sentence] in made.content["blocks"]
    assert sentence in text_of(audit_paper(made))


def test_a_long_table_is_cut_on_paper_and_says_so():
    rows = [["x"]] * (MOST_ROWS + 7)
    table, text = cut_table(["X"], rows, [100])
    assert len(table[2]) == MOST_ROWS
    assert "7 more" in text[1]
    assert "9,800 more" in cut_table(["X"], rows, [100], 10_000)[1][1]
    assert cut_table([], [], []) == [["text", "None."]]


def test_no_rounding_on_paper_claims_all_of_an_origin_class_or_none_of_another():
    """Of 37.761 g, 1 mg unknown is 0.0026 %: neither nothing, nor is the rest all of it."""
    origins = [{"class": "post-consumer", "mass_mg": 37_760}, {"class": "unknown", "mass_mg": 1}]
    said = dict(classes_said({"origins": origins, "total_mg": 37_761}))
    assert said == {"post-consumer": "> 99.99 %, 37.76 g", "unknown": "< 0.01 %, 1 mg"}


def test_the_paper_says_how_the_polymer_of_each_origin_was_told(story, lead, tmp_path):
    made = asked("part", story, lead)
    for delivery in (story.first.delivery, story.second.delivery):
        how = delivery.get_identified_by_display()
        assert f"told by {how}" in text_of(audit_paper(made))
    assert verified(tmp_path, audit_zip(made))[0]
