"""Passports issued anew after the book was corrected."""

import pytest

from inventory.models import Change
from products.actions.corrections import name_new_making, reissue_passports
from products.models import Part
from products.queries.stale_passports import stale_passports
from tests.factories.book import refused, written
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept
from workshop.actions.corrections import correct_postings
from workshop.actions.runs import close_run
from workshop.models import Load

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def stale(operator, lead):
    """Three parts whose charge was half virgin material in truth."""
    run = make_run(operator)
    for origin in ("post-consumer", "virgin"):
        load(run, make_full_bin(operator, origin_class=origin)[1], operator, KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=3)
    close_run(run=run, act=make_act(operator))
    wrong = Load.objects.order_by("pk").first().posting
    mend(lead, make_fix(wrong, 1.5), correct=correct_postings, loss="lost on the floor")
    return [row.part for row in stale_passports()]


def test_a_correction_behind_parts_makes_their_passports_stale(stale):
    assert len(stale) == 3
    assert {part.passports.count() for part in stale} == {1}


def test_all_of_them_are_issued_anew_in_one_act(stale, lead):
    issued = reissue_passports(parts=stale, act=make_act(lead, "a load was corrected"))
    assert {(each.version, each.reason) for each in issued} == {(2, "a load was corrected")}
    assert {each.content["claim"]["post_consumer_permille"] for each in issued} == {600}
    assert (stale_passports(), Change.objects.filter(verb="reissue passports").count()) == ([], 1)


def test_how_a_part_was_made_stays_in_its_passport(stale, lead):
    (first, *_more) = reissue_passports(parts=stale, act=make_act(lead, "corrected"))
    assert first.content["run"] == first.part.passports.get(version=1).content["run"]


def test_a_repeat_changes_nothing(stale, lead):
    act = make_act(lead, "corrected")
    issued = reissue_passports(parts=stale, act=act)
    before = written()
    assert (reissue_passports(parts=stale, act=act), written()) == (issued, before)


def test_refuses_without_a_reason(stale, lead):
    with refused("reason"):
        reissue_passports(parts=stale, act=make_act(lead))


def test_refuses_when_nothing_has_a_passport(lead):
    with refused("nothing-to-issue"):
        reissue_passports(parts=[], act=make_act(lead, "corrected"))


def test_parts_name_what_replaces_their_making(stale, operator):
    part, other = Part.objects.first(), make_full_bin(operator)[1].filled_by
    name_new_making(wrong=part.made_in, right=other)
    assert {each.made_in for each in Part.objects.all()} == {other}
