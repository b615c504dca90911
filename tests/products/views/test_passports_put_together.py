"""The passport of a product lists what it holds, and goes out of date with it."""

import pytest
from django.urls import reverse

from products.actions.fixings import put_in, swap_part, take_out
from products.actions.passports import issue_passport
from products.models import Passport
from products.queries.stale_passports import stale_passport, stale_passports
from tests.factories.fixings import made
from tests.factories.inventory import make_act
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def held(stool, clip, operator):
    part = made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    return part


def public(client, part, **asked):
    return client.get(reverse("scan-code", args=[part.code]), asked)


def test_what_is_put_in_makes_the_passport_stale_until_it_is_issued_anew(stool, held, operator):
    (found,) = stale_passports()
    assert (found.part, found.changed) == (stool, ("holds",))
    issue_passport(part=stool, act=make_act(operator, "a clip went in"))
    assert stale_passports() == []
    assert stale_passport(stool) is None
    take_out(part=held, act=make_act(operator))
    assert [each.changed for each in stale_passports()] == [("holds",)]


def test_a_swap_back_to_what_it_states_is_no_change(stool, held, clip, operator):
    issue_passport(part=stool, act=make_act(operator, "a clip went in"))
    take_out(part=held, act=make_act(operator))
    put_in(holder=stool, part=held, act=make_act(operator))
    assert stale_passports() == []


def test_the_passport_lists_what_it_holds_with_mark_and_the_passport_of_each(
    stool, held, client, operator
):
    passport = issue_passport(part=stool, act=make_act(operator, "a clip went in"))
    stated = [
        {"code": held.code, "name": "Clip", "pieces": 1, "mark": ">PE-HD<", "mass_mg": 1_000_000}
    ]
    assert passport.content["holds"] == stated
    page = public(client, stool).content.decode()
    assert f'href="/q/{held.code}/"' in page
    assert "1 × Clip" in page
    linked = public(client, stool, format="jsonld").json()
    told = [row["value"] for row in linked["additionalProperty"] if row["name"] == "Holds"]
    assert told == [f"1 x Clip, >PE-HD<, {held.code}"]


def test_an_older_version_keeps_what_it_stated(stool, held, clip, client, operator):
    issue_passport(part=stool, act=make_act(operator, "a clip went in"))
    swap_part(part=held, new=made(operator, clip), act=make_act(operator), state="Zecret")
    issue_passport(part=stool, act=make_act(operator, "the clip was swapped"))
    assert held.code in str(Passport.objects.get(part=stool, version=2).content)
    assert held.code not in str(Passport.objects.get(part=stool, version=3).content)
    page = public(client, stool).content.decode()
    assert "Zecret" not in page


def test_who_scans_a_held_part_reads_in_which_product_it_is(stool, held, client, operator):
    answer = public(client, held)
    assert f'<a href="/q/{stool.code}/">Stool' in answer.content.decode()
    linked = public(client, held, format="jsonld").json()
    told = {row["name"]: row["value"] for row in linked["additionalProperty"]}
    assert told["In"] == f"Stool, {stool.code}"
    take_out(part=held, act=make_act(operator))
    again = public(client, held)
    assert stool.code not in again.content.decode()
    assert again["ETag"] != answer["ETag"]


def test_the_working_page_says_that_the_passport_is_out_of_date(stool, held, floor):
    page = floor.get(stool.get_absolute_url()).content.decode()
    assert "this has changed in the book: parts in it." in page


def test_a_public_page_asks_as_little_however_much_it_holds(
    stool, held, clip, client, operator, django_assert_max_num_queries
):
    put_in(holder=stool, part=made(operator, clip), act=make_act(operator))
    issue_passport(part=stool, act=make_act(operator, "clips went in"))
    with django_assert_max_num_queries(9):
        public(client, stool)
