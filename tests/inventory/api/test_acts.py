"""The envelope of every act: the client's id, repeats, time, and where it takes from."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import Bin, Change, Posting
from tests.factories.api import client_of, receipt_body, repeated, send
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_delivery, make_full_bin
from tests.factories.workshop import MachineFactory, load, make_run, weigh_out

pytestmark = pytest.mark.django_db


def test_an_act_without_its_uuid_is_refused(api_client):
    answer = api_client.post("/api/moves/", {"to_bin": "B-01"}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid")
    assert "uuid" in answer.json()["fields"]


def assert_same(answers):
    first, second = answers
    assert first.status_code == 201, first.json()
    assert (second.status_code, second.json()) == (201, first.json())


def test_a_repeated_delivery_is_answered_as_the_first_time(api_client):
    bin = BinFactory()
    assert_same(repeated(api_client, "deliveries/", **receipt_body(bin=bin.code)))
    assert Posting.objects.count() == 1


def test_a_repeated_refusal_of_a_delivery_is_answered_as_the_first_time(api_client):
    assert_same(repeated(api_client, "deliveries/refusals/", **receipt_body(reason="smells")))
    assert Change.objects.count() == 1


def test_a_repeated_move_is_answered_as_the_first_time(api_client, operator):
    _bin, lot = make_full_bin(operator)
    assert_same(repeated(api_client, "moves/", lot=lot.code, to_bin=BinFactory().name))
    assert Posting.objects.count() == 2


def test_a_repeat_means_what_the_bin_held_the_first_time(api_client, operator):
    bin, _lot = make_full_bin(operator)
    assert_same(repeated(api_client, "moves/", from_bin=bin.name, to_bin=BinFactory().name))
    assert Posting.objects.count() == 2


def test_a_repeat_after_the_bin_was_filled_again_means_the_first_fill(api_client, operator):
    bin, _lot = make_full_bin(operator)
    body = {"uuid": str(uuid4()), "from_bin": bin.name, "reason": "wet"}
    first = send(api_client, "disposals/", **body)
    make_delivery(operator, bin=bin)
    assert send(api_client, "disposals/", **body).json() == first.json()
    assert Posting.objects.count() == 3


def test_a_used_uuid_with_another_bin_is_a_conflict(api_client, operator):
    bin, _lot = make_full_bin(operator)
    other, _lot = make_full_bin(operator)
    key = str(uuid4())
    send(api_client, "disposals/", uuid=key, from_bin=bin.name, reason="wet")
    answer = send(api_client, "disposals/", uuid=key, from_bin=other.name, reason="wet")
    assert (answer.status_code, answer.json()["code"]) == (409, "key-reused")


def test_a_used_uuid_with_another_act_is_a_conflict(api_client, operator):
    bin, lot = make_full_bin(operator)
    key = str(uuid4())
    send(api_client, "disposals/", uuid=key, lot=lot.code, mass_mg=KG, reason="wet")
    answer = send(api_client, "write-offs/", uuid=key, from_bin=bin.name, reason="wet")
    assert (answer.status_code, answer.json()["code"]) == (409, "key-reused")


def test_a_used_uuid_of_another_person_is_a_conflict(api_client, operator, lead):
    _bin, lot = make_full_bin(operator)
    body = {"uuid": str(uuid4()), "lot": lot.code, "mass_mg": KG, "reason": "wet"}
    send(api_client, "disposals/", **body)
    assert send(client_of(lead), "disposals/", **body).json()["code"] == "key-reused"


def test_an_empty_bin_gives_nothing(api_client):
    answer = send(api_client, "disposals/", from_bin=BinFactory().name, reason="wet")
    assert (answer.status_code, answer.json()["code"]) == (422, "empty")


@pytest.mark.parametrize("named", [{}, {"lot": None, "from_bin": None}])
def test_an_act_takes_from_somewhere(api_client, named):
    answer = send(api_client, "disposals/", reason="wet", **named)
    assert list(answer.json()["fields"]) == ["lot"]


def test_an_act_takes_from_one_place_only(api_client, operator):
    bin, lot = make_full_bin(operator)
    answer = send(api_client, "disposals/", reason="wet", lot=lot.code, from_bin=bin.name)
    assert answer.status_code == 400
    assert Posting.objects.count() == 1


def test_a_code_may_be_grouped_and_misread(api_client, operator):
    _bin, lot = make_full_bin(operator)
    code = lot.code.lower().replace("0", "o").replace("1", "l")
    grouped = f"{code[:4]} {code[4:8]}-{code[8:]}"
    answer = send(api_client, "disposals/", lot=grouped, reason="wet")
    assert answer.json()["transfers"][0]["source"] == lot.code


def test_the_tare_is_taken_off(api_client, operator):
    _bin, lot = make_full_bin(operator)
    scale = ScaleFactory()
    weighing = {"mass_mg": 3 * KG, "tare_mg": KG, "scale": scale.name}
    answer = send(api_client, "disposals/", lot=lot.code, reason="wet", **weighing)
    moved = answer.json()["transfers"][0]
    assert (moved["mass_mg"], moved["basis"], moved["scale"]) == (2 * KG, "weighed", scale.name)


def test_a_tare_not_below_the_mass_is_refused(api_client, operator):
    _bin, lot = make_full_bin(operator)
    answer = send(api_client, "disposals/", lot=lot.code, reason="wet", mass_mg=KG, tare_mg=KG)
    assert list(answer.json()["fields"]) == ["tare_mg"]


def test_a_scale_without_a_mass_is_refused(api_client, operator):
    _bin, lot = make_full_bin(operator)
    scale = ScaleFactory().name
    answer = send(api_client, "disposals/", lot=lot.code, reason="wet", scale=scale)
    assert list(answer.json()["fields"]) == ["mass_mg"]


def test_a_scale_out_of_use_weighs_nothing(api_client, operator):
    _bin, lot = make_full_bin(operator)
    scale = ScaleFactory(is_in_use=False).name
    answer = send(api_client, "disposals/", lot=lot.code, mass_mg=KG, reason="wet", scale=scale)
    assert list(answer.json()["fields"]) == ["scale"]


def test_the_time_of_the_workshop_is_kept(api_client, operator):
    _bin, lot = make_full_bin(operator)
    earlier = "2026-03-02T08:30:00+02:00"
    answer = send(api_client, "disposals/", lot=lot.code, reason="wet", happened_at=earlier)
    assert answer.json()["happened_at"] == "2026-03-02T06:30:00Z"


def test_a_time_still_to_come_is_refused(api_client, operator):
    _bin, lot = make_full_bin(operator)
    later = (timezone.now() + timedelta(hours=1)).isoformat()
    answer = send(api_client, "disposals/", lot=lot.code, reason="wet", happened_at=later)
    assert answer.json()["code"] == "future"
    assert Posting.objects.count() == 1


def test_a_repeated_load_yield_and_close_are_answered_as_the_first_time(api_client, operator):
    bin, _lot = make_full_bin(operator)
    run = make_run(operator)
    assert_same(repeated(api_client, f"runs/{run.code}/loads/", bin=bin.name))
    made = {"kind": "part", "mass_each_mg": 5 * KG, "pieces": 2, "confirmed": True}
    assert_same(repeated(api_client, f"runs/{run.code}/yields/", **made))
    assert_same(repeated(api_client, f"runs/{run.code}/close/"))
    assert Posting.objects.count() == 3


def test_a_repeated_carry_abandon_and_reopen_are_answered_as_the_first_time(
    api_client, operator, lead
):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    assert_same(repeated(api_client, f"runs/{run.code}/carry/"))
    assert_same(repeated(api_client, f"runs/{run.code}/abandon/", reason="power cut"))
    assert_same(repeated(client_of(lead), f"runs/{run.code}/reopen/", reason="power is back"))


def test_repeated_plans_are_answered_as_the_first_time(lead):
    client, machine = client_of(lead), MachineFactory()
    assert_same(repeated(client, "bins/", name="B-77", capacity_mg=9 * KG, polymer="hdpe"))
    assert_same(repeated(client, "sources/", name="A school"))
    design = {"name": "Tile", "made_by": "press", "nominal_mass_mg": KG, "thickness_mm": "8.50"}
    assert_same(repeated(client, "designs/", polymers=["PP", "PE-HD"], **design))
    run = {"operation": "press", "machine": machine.name, "design": "tile"}
    assert_same(repeated(client, "runs/", **run))
    assert_same(repeated(client, f"machines/{machine.pk}/purges/", reason="with PP"))


def test_repeated_acts_on_a_lot_are_answered_as_the_first_time(api_client, operator, lead):
    delivery = make_delivery(operator, polymer=None, identified_by="unknown")
    client, lot = client_of(lead), delivery.code
    hold = delivery.lot.holds.get()
    told = {"polymer": "PP", "identified_by": "test", "reason": "melts at 165"}
    assert_same(repeated(client, f"lots/{lot}/identify/", **told))
    assert_same(repeated(client, f"holds/{hold.pk}/lift/", reason="it is PP"))
    assert_same(repeated(api_client, f"lots/{lot}/holds/", reason="wet"))


def test_a_repeated_hold_is_the_first_hold_after_another_was_placed(api_client, operator, lead):
    _bin, lot = make_full_bin(operator)
    body = {"uuid": str(uuid4()), "reason": "wet"}
    first = send(api_client, f"lots/{lot.code}/holds/", **body)
    send(client_of(lead), f"holds/{first.json()['id']}/lift/", reason="dry")
    send(api_client, f"lots/{lot.code}/holds/", reason="wet again")
    assert send(api_client, f"lots/{lot.code}/holds/", **body).json() == first.json()


def test_a_repeated_handover_is_the_first_after_another_was_made(api_client, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator)
    code = weigh_out(run, operator, "part", KG, pieces=1).posting.transfers.get().target.code
    body = {"uuid": str(uuid4()), "to": "the school"}
    first = send(api_client, f"parts/{code}/hand-over/", **body)
    assert_same(repeated(api_client, f"parts/{code}/take-back/", state="worn"))
    send(api_client, f"parts/{code}/hand-over/", to="the library")
    assert send(api_client, f"parts/{code}/hand-over/", **body).json() == first.json()


def test_a_repeated_retirement_and_reversal_are_answered_as_the_first_time(operator, lead):
    client, bin = client_of(lead), BinFactory()
    _bin, lot = make_full_bin(operator)
    assert_same(repeated(client, f"bins/{bin.name}/retire/"))
    key = lot.filled_by.uuid
    assert_same(repeated(client, f"postings/{key}/reversal/", reason="weighed wrongly"))


def test_a_renamed_bin_is_still_the_answer_to_its_making(lead):
    client, body = client_of(lead), {"uuid": str(uuid4()), "name": "B-78", "capacity_mg": KG}
    first = send(client, "bins/", **body)
    Bin.objects.filter(name="B-78").update(name="B-79")
    assert send(client, "bins/", **body).json() == first.json()
