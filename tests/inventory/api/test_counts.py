"""Counts over the API: the same rules as on the page."""

import pytest

from inventory.models import Count
from inventory.queries.lots import open_lot_in
from tests.factories.api import client_of, repeated, send
from tests.factories.counts import count, make_round
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_full_bin

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin(operator):
    """10 kg in a bin of 1 kg tare."""
    return make_full_bin(operator)[0]


def body(bin, **changes):
    fill = open_lot_in(bin)
    seen = {"lot": fill.code, "book_mg": fill.held_mg} if fill else {"lot": None, "book_mg": 0}
    return {"bin": bin.name, "shown_mg": 10_700_000, "reason": "spilt"} | seen | changes


def code_of(answer):
    return answer.status_code, answer.json()["code"]


def test_the_tare_of_the_bin_comes_off_by_default(api_client, bin):
    answer = send(api_client, "counts/", **body(bin)).json()
    assert (answer["tare_mg"], answer["net_mg"], answer["difference_mg"]) == (
        KG,
        9_700_000,
        -300_000,
    )
    assert (answer["agrees"], open_lot_in(bin).held_mg) == (False, 9_700_000)


def test_a_tare_of_nothing_means_net(api_client, bin):
    answer = send(api_client, "counts/", **body(bin, shown_mg=10 * KG, tare_mg=0)).json()
    assert (answer["net_mg"], answer["agrees"], answer["posting"]) == (10 * KG, True, None)


def test_the_tolerance_is_told(api_client, bin):
    scale = ScaleFactory(resolution_mg=10_000)
    answer = send(api_client, "counts/", **body(bin, shown_mg=11_004_000, scale=scale.name)).json()
    assert (answer["agrees"], answer["tolerance_mg"]) == (True, 8165)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"book_mg": 9 * KG}, "book-changed"),
        ({"lot": None}, "book-changed"),
        ({"shown_mg": 10 * KG}, "surprising"),
        ({"shown_mg": KG - 1}, "below-tare"),
        ({"reason": ""}, "reason"),
    ],
)
def test_what_is_refused_names_its_code(api_client, bin, changes, code):
    answer = send(api_client, "counts/", **body(bin, **changes))
    assert code_of(answer) == (422, code)
    assert not Count.objects.exists()


def test_a_surprise_is_booked_once_confirmed(api_client, bin):
    send(api_client, "counts/", **body(bin, shown_mg=10 * KG, confirmed=True))
    assert open_lot_in(bin).held_mg == 9 * KG


def test_a_confirmed_repeat_is_the_same_request(api_client, bin):
    first, second = repeated(api_client, "counts/", **body(bin, shown_mg=10 * KG, confirmed=True))
    assert first.json() == second.json()
    assert Count.objects.count() == 1


def test_mass_in_an_empty_bin_is_refused(api_client, db):
    answer = send(api_client, "counts/", **body(BinFactory(), like_last=True, confirmed=True))
    assert code_of(answer) == (422, "nothing-booked")


@pytest.mark.parametrize("missing", ["bin", "shown_mg", "book_mg", "lot"])
def test_what_was_seen_must_be_said(api_client, bin, missing):
    sent = body(bin)
    del sent[missing]
    assert missing in send(api_client, "counts/", **sent).json()["fields"]


def test_a_count_names_its_round(api_client, bin, operator):
    walk = make_round(operator)
    answer = send(api_client, "counts/", **body(bin, round=walk.pk)).json()
    assert answer["round"] == walk.pk


@pytest.mark.parametrize("number", [999_999, 10**30, -1])
def test_a_round_that_does_not_go_there_is_refused(api_client, bin, number):
    answer = send(api_client, "counts/", **body(bin, round=number))
    assert "round" in answer.json()["fields"]
    assert answer.status_code < 500


def test_counts_are_narrowed(api_client, bin, operator):
    count(bin, 10 * KG, operator)
    count(bin, 9_700_000, operator)
    query = f"agrees=false&reversed=false&bin={bin.name}&by={operator.username}"
    rows = api_client.get(f"/api/counts/?{query}").json()["results"]
    assert [row["net_mg"] for row in rows] == [9_700_000]
    assert rows[0]["reversed_by"] is None


def test_one_count_is_read_by_its_id(auditor, bin, operator):
    done = count(bin, 10 * KG, operator)
    answer = client_of(auditor).get(f"/api/counts/{done.uuid}/").json()
    assert (answer["bin"], answer["agrees"]) == (bin.code, True)


def test_an_auditor_counts_nothing(auditor, bin):
    assert send(client_of(auditor), "counts/", **body(bin)).status_code == 403
