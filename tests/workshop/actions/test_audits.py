"""Making an audit file: a checkpoint, a logged change, an answer as the book knew it; and each refusal."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory.actions.postings import reverse_posting
from inventory.models import Change, Checkpoint, Transfer
from inventory.queries.entries import entries_at, leaves_in
from inventory.queries.traces import origins_of
from products.actions.bags import divide_bag
from products.models import Part
from tests.factories.audits import make_audit, make_story
from tests.factories.book import refused
from tests.factories.inventory import KG, ScaleFactory, make_act, make_delivery, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out_on
from workshop.actions.audits import make_audit_file
from workshop.models import AuditFile
from workshop.queries import audit_scopes
from workshop.queries.audit_questions import Question

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate


@pytest.fixture
def story(operator, lead):
    return make_story(operator, lead)


def test_an_audit_file_makes_a_checkpoint_and_is_written_down_with_its_question(story, auditor):
    made = make_audit(auditor, "lot", story.part.code)
    change = Change.objects.get(uuid=made.uuid)
    assert made.checkpoint == Checkpoint.objects.first()
    assert (change.verb, change.subject, change.by) == ("audit", made.number, auditor)
    assert change.request["question"] == {
        "kind": "lot", "subject": story.part.code, "since": None, "until": None,
    }  # fmt: skip
    assert (made.role, made.by) == ("auditor", auditor)


def test_an_audit_file_again_under_its_id_is_the_same_and_writes_nothing(story, lead):
    act, question = make_act(lead), Question("lot", story.part.code)
    first = make_audit_file(question=question, act=act)
    counts = (AuditFile.objects.count(), Checkpoint.objects.count(), Change.objects.count())
    make_delivery(lead)
    assert make_audit_file(question=question, act=act) == first
    assert counts == (
        AuditFile.objects.count(),
        Checkpoint.objects.count(),
        Change.objects.count(),
    )


def test_another_question_under_the_same_id_is_refused(story, lead):
    act = make_act(lead)
    make_audit_file(question=Question("lot", story.part.code), act=act)
    with refused("key-reused"):
        make_audit_file(question=Question("run", story.run.number), act=act)


def test_the_answer_of_a_part_is_that_of_its_trace(story, lead):
    content = make_audit(lead, "lot", story.part.code).content
    rows = origins_of(story.part.lot)
    assert {row["lot"]: row["mass_mg"] for row in content["origins"]} == {
        row.lot.code: row.mass_mg for row in rows
    }
    assert content["total_mg"] == 5 * KG == sum(row["mass_mg"] for row in content["origins"])
    assert {row["source"] for row in content["origins"]} == {"Hill school", "Market hall"}


def test_the_weighings_of_a_run_add_in_squares(story, lead):
    """u of a reading is d / (2 sqrt 3), JCGM 100, 4.3.7; two of d = 1 g: U = 2 * sqrt 2 * 288.7 mg = 816.5 mg."""
    told = make_audit(lead, "run", story.run.number).content["uncertainty"]
    assert told["known"] == 2
    assert told["expanded_ug"] == pytest.approx(816_497, abs=3)
    assert told["quoted_mg"] == 820


def test_a_run_became_what_was_loaded(story, lead):
    content = make_audit(lead, "run", story.run.number).content
    assert content["balance"] == {
        "in_mg": 6 * KG, "out_mg": {"offcut": KG, "part": 5 * KG}, "left_mg": 0,
    }  # fmt: skip
    assert content["total_mg"] == 6 * KG


def test_a_delivery_is_followed_ahead_to_the_milligram(story, lead):
    content = make_audit(lead, "lot", story.second.code).content
    assert content["follows"] == "forward"
    assert sum(row["mass_mg"] for row in content["whereabouts"]) == 10 * KG
    assert story.part.code in {row["lot"] for row in content["whereabouts"]}


def test_a_source_is_followed_through_all_its_deliveries(story, operator, lead):
    source = story.first.delivery.source
    make_delivery(operator, source=source, net_mg=3 * KG)
    content = make_audit(lead, "source", source.name).content
    assert content["total_mg"] == 13 * KG
    assert sum(row["mass_mg"] for row in content["whereabouts"]) == 13 * KG


def test_a_design_is_all_its_parts_and_of_other_days_none(story, lead):
    content = make_audit(lead, "design", "Board 600").content
    assert content["roots"] == {story.part.code: 5 * KG}
    with refused("nothing"):
        make_audit(lead, "design", "Board 600", since=TODAY() + timedelta(days=1))


def test_pieces_that_were_taken_out_of_a_bag_count_once_with_it(lead):
    run = make_run(lead, design=DesignFactory(name="Clip", tracked="bag"))
    load(run, make_full_bin(lead)[1], lead, 6 * KG)
    weigh_out_on(ScaleFactory(), run, lead, "part", 3 * KG, pieces=3)
    bag = Part.objects.get()
    piece = divide_bag(bag=bag, pieces=1, act=make_act(lead))
    content = make_audit(lead, "design", "Clip").content
    assert content["roots"] == {bag.code: 2 * KG, piece.code: KG}
    assert content["total_mg"] == 3 * KG == sum(row["mass_mg"] for row in content["origins"])
    assert content["uncertainty"]["known_mg"] == 3 * KG
    assert make_audit(lead, "lot", piece.code).content["uncertainty"]["known_mg"] == KG


def test_a_period_balances(story, lead):
    content = make_audit(lead, since=TODAY(), until=TODAY()).content
    balance = content["balance"]
    assert balance["opening_mg"] == 0
    assert balance["in_mg"] == 20 * KG
    assert balance["closing_mg"] == 20 * KG
    assert content["question"].startswith("What happened in the workshop")


def cells_of(content):
    tables = [block[2] for block in content["blocks"] if block[0] == "table"]
    return {cell for rows in tables for row in rows for cell in row}


def test_what_was_reversed_is_named_with_its_reason(story, lead):
    content = make_audit(lead, "lot", story.part.code).content
    assert "the wrong bin was scanned" not in cells_of(content)  # nothing of it came from there
    content = make_audit(lead, "lot", story.second.code).content
    assert "the wrong bin was scanned" in cells_of(content)


@pytest.mark.parametrize(
    ("kind", "subject"),
    [("lot", "0" * 12), ("run", "R-9999"), ("design", "None"), ("source", "Nobody")],
)
def test_what_is_not_in_the_book_is_refused(story, lead, kind, subject):
    with refused("nothing"):
        make_audit(lead, kind, subject)


def test_a_lot_whose_filling_was_reversed_is_refused(operator, lead):
    lot = make_delivery(operator).lot
    reverse_posting(posting=lot.filled_by, act=make_act(lead, "never came"))
    with refused("nothing"):
        make_audit(lead, "lot", lot.code)


def test_an_empty_period_is_refused(story, lead):
    with refused("nothing"):
        make_audit(lead, since=date(2001, 1, 1), until=date(2001, 2, 1))


@pytest.mark.parametrize(
    ("kind", "since", "until"),
    [
        ("period", None, None),
        ("period", date(2026, 1, 1), None),
        ("period", date(2026, 2, 1), date(2026, 1, 1)),
        ("run", date(2026, 1, 1), date(2026, 2, 1)),
        ("lot", date(2026, 1, 1), None),
    ],
)
def test_days_that_make_no_sense_are_refused(story, lead, kind, since, until):
    with refused("days"):
        make_audit(lead, kind, "x" if kind != "period" else "", since, until)


def test_a_way_longer_than_a_file_follows_is_refused_with_the_limit(story, lead, monkeypatch):
    monkeypatch.setattr(audit_scopes, "MOST_EDGES", 0)
    with refused("too-large") as refusal:
        make_audit(lead, "lot", story.part.code)
    assert "200000" in refusal.value.messages[0]


def test_what_is_too_much_for_a_picture_is_answered_without_one(story, lead, monkeypatch):
    monkeypatch.setattr(audit_scopes, "MOST_DRAWN", 0)
    for question in (("lot", story.part.code), ("period", "", TODAY(), TODAY())):
        content = make_audit(lead, *question).content
        sentence = "There are too many transfers for a picture; the tables of the ZIP have all."
        assert ["text", sentence] in content["blocks"]
        assert ["picture"] not in content["blocks"]
        assert content["picture"] == {}


def test_all_that_came_into_the_lots_ahead_is_named(story, lead):
    """Else nobody could reckon from the file how much of a lot came from what is asked about."""
    content = make_audit(lead, "lot", story.second.code).content
    ahead = {row["lot"] for row in content["whereabouts"] if row["lot"]}
    leaves = leaves_in(content["spans"])
    lines = [line for entry in entries_at(leaves) for line in entry.content.get("transfers", ())]
    came = Transfer.objects.filter(target__code__in=ahead, reverses=None).values_list(
        "pk", flat=True
    )
    assert len(ahead) > 1
    assert len([line for line in lines if line[1] in ahead]) >= len(came)
    assert content["is_whole"] is True
    assert "is_whole" not in make_audit(lead, "lot", story.part.code).content


def test_an_entry_that_the_checkpoint_lacks_is_refused(story, lead, monkeypatch):
    """Two tablets at once on PostgreSQL: an entry says an earlier time than the newest one, and comes later."""
    monkeypatch.setattr("workshop.queries.audit_answers.leaves_of", lambda *_: [])
    with refused("moving"):
        make_audit(lead, "lot", story.part.code)


def test_an_empty_book_is_refused(lead):
    with refused("empty"):
        make_audit(lead, since=TODAY(), until=TODAY())
