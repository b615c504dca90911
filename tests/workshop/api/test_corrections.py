"""Corrections over the API: the effect first, then the act with what was shown."""

import pytest

from inventory.actions.lots import move_lot
from inventory.models import Posting
from tests.factories.api import client_of, repeated, send
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from workshop.actions.runs import close_run
from workshop.models import Load

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(lead):
    return client_of(lead)


@pytest.fixture
def moved(operator):
    lot = make_full_bin(operator)[1]
    return move_lot(lot=lot, bin=BinFactory(name="B-55"), mass=grams(3000), act=make_act(operator))


def fix(posting, **more):
    return {"posting": str(posting.uuid)} | more


def effect(client, *fixes):
    return client.post("/api/corrections/effect/", {"fixes": fixes}, format="json")


def test_the_effect_is_told_and_nothing_is_written(desk, moved):
    answer = effect(desk, fix(moved, mass_mg=2_500_000))
    assert answer.status_code == 200
    held = {row["where"]: (row["before_mg"], row["after_mg"]) for row in answer.json()["held"]}
    assert held["B-55"] == (3 * KG, 2_500_000)
    assert Posting.objects.count() == 2


def test_what_was_shown_is_accepted_and_a_repeat_changes_nothing(desk, moved):
    fixes = [fix(moved, mass_mg=2_500_000)]
    shown = effect(desk, *fixes).json()["shown"]
    first, again = repeated(desk, "corrections/", fixes=fixes, shown=shown, reason="misread")
    assert (first.status_code, first.json()) == (201, again.json())
    head = first.json()["postings"][0]
    assert (head["kind"], head["replaces"]) == ("correct", str(moved.uuid))


def test_another_effect_than_the_one_shown_is_a_conflict(desk, moved):
    fixes = [fix(moved, mass_mg=2_500_000)]
    answer = send(desk, "corrections/", fixes=fixes, shown="0" * 64, reason="misread")
    assert (answer.status_code, answer.json()["code"]) == (409, "book-moved")


def test_a_move_is_led_into_another_bin_by_its_name(desk, moved):
    bin = BinFactory(name="B-56")
    fixes = [fix(moved, target="b-56")]
    shown = effect(desk, *fixes).json()["shown"]
    assert send(desk, "corrections/", fixes=fixes, shown=shown, reason="misread").status_code == 201
    assert bin.lots.get().in_mg == 3 * KG


def test_parts_and_gaps_are_told(desk, operator):
    run = make_run(operator)
    for origin in ("post-consumer", "virgin"):
        load(run, make_full_bin(operator, origin_class=origin)[1], operator, KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=2)
    close_run(run=run, act=make_act(operator))
    told = effect(desk, fix(Load.objects.order_by("pk").first().posting, mass_mg=1_500_000)).json()
    assert (told["part_count"], told["claim_count"], told["passport_count"]) == (2, 2, 2)
    assert (told["parts"][0]["recycled_before"], told["parts"][0]["recycled_after"]) == (0.5, 0.6)
    assert told["charges"][0] | {"run": ""} == {
        "run": "",
        "charge": 1,
        "before_mg": 0,
        "after_mg": 500_000,
        "explained_mg": 0,
        "is_loss": True,
    }


def test_refuses_what_the_book_cannot_bear(desk, operator, moved):
    move_lot(lot=moved.transfers.get().target, bin=BinFactory(), act=make_act(operator))
    answer = effect(desk, fix(moved, mass_mg=2_500_000))
    assert (answer.status_code, answer.json()["code"]) == (422, "short")


@pytest.mark.parametrize(
    "change",
    [
        {"posting": "x"},
        {"posting": None},
        {"mass_mg": 0},
        {"mass_mg": "3"},
        {"source": "nowhere"},
        {"target": 7},
        {"is_out": "maybe"},
        {"scale": "none"},
        {"line": 1},
    ],
)
def test_what_cannot_be_read_is_refused(desk, moved, change):
    answer = effect(desk, fix(moved) | change)
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid")


@pytest.mark.parametrize("fixes", [[], "x", None, [[]], [{}] * 21])
def test_fixes_that_are_none_are_refused(desk, fixes):
    answer = desk.post("/api/corrections/effect/", {"fixes": fixes}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid")


def test_an_operator_may_look_at_an_effect_and_not_accept_it(api_client, moved):
    fixes = [fix(moved, mass_mg=2_500_000)]
    shown = effect(api_client, *fixes).json()["shown"]
    answer = send(api_client, "corrections/", fixes=fixes, shown=shown, reason="misread")
    assert (answer.status_code, Posting.objects.count()) == (403, 2)


def test_passports_are_issued_anew_in_one_act(desk, operator):
    run, right = make_run(operator), make_full_bin(operator, origin_class="virgin")[0]
    load(run, make_full_bin(operator)[1], operator, KG)
    weigh_out(run, operator, "part", KG, pieces=2)
    close_run(run=run, act=make_act(operator))
    codes = [part["part"] for part in stale(desk, Load.objects.get().posting, right)]
    first, again = repeated(desk, "passports/reissues/", parts=codes, reason="corrected")
    assert [each["version"] for each in first.json()["passports"]] == [2, 2]
    assert (first.status_code, first.json()) == (201, again.json())


def stale(client, posting, right):
    fixes = [fix(posting, source=right.name)]
    shown = effect(client, *fixes).json()["shown"]
    send(client, "corrections/", fixes=fixes, shown=shown, reason="misread")
    return client.get("/api/passports/stale/").json()["results"]
