"""Pages of parts."""

import pytest
from django.urls import reverse

from inventory.actions.lots import hold_lot
from inventory.calculations.codes import group_code
from products.actions.parts import hand_over_part
from products.models import Handover, Part
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db
LIST = reverse("products:part-list")


@pytest.fixture
@kept
def run(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 6 * KG)
    load(run, make_full_bin(operator, colour="red")[1], operator, 3 * KG)
    weigh_out(run, operator, "part", 9 * KG, pieces=3)
    return run


@pytest.fixture
def part(run):
    return Part.objects.last()


def act_url(part, name):
    return reverse(f"products:part-{name}", args=[part.code])


def test_the_page_shows_mark_code_and_run(part, run, floor):
    page = floor.get(part.get_absolute_url()).content.decode()
    assert "&gt;PE-HD&lt;" in page
    assert group_code(part.code) in page
    assert reverse("scan-code", args=[run.number]) in page


def test_the_page_shows_what_it_is_made_of(part, floor):
    context = floor.get(part.get_absolute_url()).context
    shares = [(row.label, round(row.share, 3)) for row in context["make_up"].by_colour]
    assert shares == [("blue", 0.667), ("red", 0.333)]
    assert [origin.mass_mg for origin in context["origins"]] == [2 * KG, KG]


def test_the_page_links_to_the_whole_trace(part, floor):
    page = floor.get(part.get_absolute_url()).content.decode()
    assert reverse("inventory:trace", args=[part.code]) in page


def test_the_page_asks_little(part, floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(19):
        floor.get(part.get_absolute_url())


def test_hands_over_and_takes_back(part, floor, key):
    floor.post(act_url(part, "hand-over"), {"key": key, "to": "school kitchen"})
    assert Handover.objects.get().to == "school kitchen"
    sent = {"key": "6c9f6a44-53a7-4b0c-9a3e-0d6f3a1a0d01", "state": "cracked"}
    answer = floor.post(act_url(part, "take-back"), sent, follow=True)
    assert Handover.objects.get().state_on_return == "cracked"
    assert "is back" in answer.content.decode()


def test_a_part_in_use_is_not_handed_over_again(part, floor, operator, key):
    hand_over_part(part=part, act=make_act(operator))
    answer = floor.post(act_url(part, "hand-over"), {"key": key, "to": "x"})
    assert answer.status_code == 422
    assert "take it back first" in answer.content.decode()
    assert Handover.objects.count() == 1


def test_the_next_act_follows_the_state(part, floor, operator):
    assert act_url(part, "hand-over") in floor.get(part.get_absolute_url()).content.decode()
    hand_over_part(part=part, act=make_act(operator))
    assert act_url(part, "take-back") in floor.get(part.get_absolute_url()).content.decode()


def test_an_auditor_hands_nothing_over(part, reader, key):
    assert reader.post(act_url(part, "hand-over"), {"key": key}).status_code == 403
    assert reader.post(act_url(part, "take-back"), {"key": key}).status_code == 403
    assert act_url(part, "hand-over") not in reader.get(part.get_absolute_url()).content.decode()


def test_the_list_filters_by_state(part, floor, operator):
    hand_over_part(part=part, act=make_act(operator))
    answer = floor.get(LIST, {"state": "in-use"})
    assert list(answer.context["page"]) == [part]


@pytest.mark.parametrize("cut", [4, 8, 12])
def test_the_list_finds_a_part_by_the_beginning_of_its_code(cut, part, floor):
    answer = floor.get(LIST, {"q": group_code(part.code)[:cut].lower()})
    assert list(answer.context["page"]) == [part]


def test_the_list_finds_the_parts_of_a_run(part, run, floor):
    assert len(floor.get(LIST, {"q": run.number}).context["page"]) == 3


def test_the_list_filters_by_polymer_and_day(part, floor):
    day = part.made_at.date().isoformat()
    found = floor.get(LIST, {"polymer": "PE-HD", "made_from": day, "made_to": day})
    assert len(found.context["page"]) == 3
    assert len(floor.get(LIST, {"polymer": "PP"}).context["page"]) == 0


def test_the_list_asks_the_same_however_many_parts(part, floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(10):
        floor.get(LIST)


def test_a_part_that_is_not_there_is_not_found(floor):
    assert floor.get(reverse("products:part-detail", args=["0" * 12])).status_code == 404


def test_a_part_on_hold_says_why_and_leads_the_lead_to_lifting_it(part, operator, floor, desk):
    hold = hold_lot(lot=part.lot, act=make_act(operator, "smells of solvent"))
    lift = reverse("inventory:hold-lift", args=[hold.pk])
    for client, may_lift in ((floor, False), (desk, True)):
        page = client.get(part.get_absolute_url()).content.decode()
        assert "smells of solvent" in page
        assert (lift in page) == may_lift
