"""Issuing passports."""

from uuid import uuid4

import pytest
from django.utils.timezone import localdate

from inventory.actions.postings import reverse_posting
from inventory.calculations.fingerprints import fingerprint
from inventory.models import Change
from products.actions.passports import ProcessFacts, issue_passport, issue_passports
from products.models import Item, Joint, Part, Passport
from tests.factories.book import refused
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.passports import make_mixed_part
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out
from tests.kept import kept
from workshop.actions.runs import reopen_run
from workshop.models import Run

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def part(operator):
    """A part with a passport of version 1."""
    return make_mixed_part(operator, DesignFactory(name="Stool", care="Wipe it.\nDry it."))


@pytest.fixture
def fresh_part(operator):
    """A part of a run that is still open, without a passport."""
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    return Part.objects.get()


def test_a_first_passport_is_version_one_without_a_reason(fresh_part, operator):
    passport = issue_passport(part=fresh_part, act=make_act(operator, "said anyway"))
    assert (passport.version, passport.reason, passport.issued_by) == (1, "", operator)


def test_it_says_what_the_part_is_made_of(part):
    content = part.passports.get().content
    assert content["make_up"]["origin"] == [
        ["post-consumer", 600_000],
        ["virgin", 300_000],
        ["pre-consumer", 100_000],
    ]
    assert content["make_up"]["colour"][0][:2] == ["blue", 700_000]
    assert content["mark"]["text"] == ">PE-HD<"
    assert content["resin"] == {"number": 2, "text": "HDPE"}


def test_it_claims_the_recycled_content_of_the_day(part):
    claim = part.passports.get().content["claim"]
    assert claim["sentence"].startswith("Contains 70 % recycled material (60 % post-consumer")
    assert claim["on"] == localdate().isoformat()
    assert (claim["post_consumer_permille"], claim["pre_consumer_permille"]) == (600, 100)


def test_it_names_its_place_in_the_ledger(part):
    ledger = part.passports.get().content["claim"]["ledger"]
    assert ledger["posting"] == part.made_in.number
    assert ledger["uuid"] == str(part.made_in.uuid)


def test_it_counts_melt_passes(part):
    passes = part.passports.get().content["passes"]
    assert passes == {"mean_tenths": 10, "most": 1, "or_more": False}


def test_a_bag_says_how_many_it_holds(operator):
    bag = make_mixed_part(operator, DesignFactory(tracked="bag"), pieces=50)
    content = bag.passports.get().content
    assert (content["is_bag"], content["pieces"]) == (True, 50)


def test_only_packaging_gets_the_code_of_packaging(operator, part):
    box = make_mixed_part(operator, DesignFactory(is_packaging=True))
    assert box.passports.get().content["packaging"] == {"number": 2, "text": "HDPE"}
    assert part.passports.get().content["packaging"] is None


def test_every_passport_says_what_nothing_here_is_approved_for(part):
    cautions = " ".join(part.passports.get().content["not_for"])
    assert "food" in cautions
    assert "toys" in cautions
    assert "mains electricity" in cautions
    assert "load rating" in cautions


def test_a_use_that_needs_approval_stands_among_what_it_is_not_suitable_for(operator):
    crate = make_mixed_part(operator, DesignFactory(uses=["food", "load"]))
    cautions = crate.passports.get().content["not_for"]
    assert any(each.startswith("Food or drink: this needs approval") for each in cautions)
    assert any(each.startswith("Bearing a load: this needs approval") for each in cautions)


def test_it_tells_how_it_comes_apart_as_its_design_said_then(operator):
    stool = DesignFactory(name="Stool of two")
    Item.objects.create(design=stool, line=1, count=2, bought="screw", bought_name="bolt")
    Joint.objects.create(design=stool, turn=1, kind="screw", first_line=0, second_line=1)
    passport = make_mixed_part(operator, stool).passports.get()
    Joint.objects.all().delete()
    passport.refresh_from_db()
    assert passport.content["taking_apart"].startswith("1. Screw: Stool of two and bolt.")


def test_its_digest_is_that_of_its_content(part):
    passport = part.passports.get()
    assert passport.digest == fingerprint(passport.content)


def test_a_changed_design_changes_no_issued_passport(part):
    part.design.care = "Never wet it."
    part.design.save()
    assert part.passports.get().content["care"] == "Wipe it.\nDry it."


def test_a_new_version_keeps_the_old_one(part, operator):
    part.design.care = "Never wet it."
    part.design.save()
    newer = issue_passport(part=part, act=make_act(operator, "care was wrong"))
    assert (newer.version, newer.reason) == (2, "care was wrong")
    assert newer.content["care"] == "Never wet it."
    assert [each.version for each in part.passports.all()] == [2, 1]


def test_a_new_version_by_hand_keeps_how_the_part_was_made(part, operator):
    before = part.passports.get().content["run"]
    newer = issue_passport(part=part, act=make_act(operator, "care was wrong"))
    assert newer.content["run"] == before


def test_facts_of_the_making_are_kept_as_they_were_handed_over(fresh_part, operator):
    facts = ProcessFacts("R-0099", "press", "press", "190 degrees")
    passport = issue_passport(part=fresh_part, act=make_act(operator), facts=facts)
    assert passport.content["run"] == facts.plain()


def test_without_facts_the_part_itself_tells_its_run(fresh_part, operator):
    content = issue_passport(part=fresh_part, act=make_act(operator)).content
    assert content["run"]["run"] == fresh_part.run_number
    assert content["run"]["operation"] == "press"


def test_a_repeat_is_answered_as_the_first_time(part, operator):
    key = uuid4()
    first = issue_passport(part=part, act=make_act(operator, "again", key=key))
    assert issue_passport(part=part, act=make_act(operator, "again", key=key)) == first
    assert Passport.objects.count() == 2


def test_a_repeat_with_other_content_is_refused(part, operator):
    key = uuid4()
    issue_passport(part=part, act=make_act(operator, "again", key=key))
    with refused("key-reused"):
        issue_passport(part=part, act=make_act(operator, "other", key=key))


def test_a_new_version_needs_a_reason(part, operator):
    with refused("reason"):
        issue_passport(part=part, act=make_act(operator, "  "))


def test_a_part_whose_making_was_undone_gets_none(part, lead):
    reopen_run(run=Run.objects.get(), act=make_act(lead, "miscounted"))
    reverse_posting(posting=part.made_in, act=make_act(lead, "miscounted"))
    with refused("not-made"):
        issue_passport(part=part, act=make_act(lead, "still"))


def test_issuing_is_written_down_as_a_change(part, operator):
    act = make_act(operator, "care was wrong")
    issue_passport(part=part, act=act)
    assert Change.objects.get(uuid=act.key).subject == part.code


def test_passports_of_one_act_have_uuids_that_follow_from_it(operator, fresh_part):
    act = make_act(operator)
    facts = ProcessFacts("R-0001", "press", "press")
    (passport,) = issue_passports(parts=[fresh_part], facts=facts, act=act)
    assert passport.uuid == act.followed_by(fresh_part.code).key


def test_nothing_is_issued_for_no_parts(operator):
    facts = ProcessFacts("R-0001", "press", "press")
    assert issue_passports(parts=[], facts=facts, act=make_act(operator)) == []
