"""Holds over the API."""

import pytest

from inventory.actions.recalls import start_recall
from inventory.models import Hold
from tests.factories.api import client_of, send
from tests.factories.inventory import make_act, make_delivery, make_full_bin

pytestmark = pytest.mark.django_db


def test_a_hold_stops_a_lot(api_client, operator):
    _bin, lot = make_full_bin(operator)
    answer = send(api_client, f"lots/{lot.code}/holds/", reason="smells of petrol").json()
    assert (answer["lot"], answer["placed_role"]) == (lot.code, "operator")
    assert lot.holds.open().count() == 1


def test_a_second_hold_is_refused(api_client, operator):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    answer = send(api_client, f"lots/{lot.code}/holds/", reason="wet")
    assert (answer.status_code, answer.json()["code"]) == (422, "on-hold")
    assert Hold.objects.count() == 1


def test_the_lead_lifts_a_hold(operator, lead):
    hold = make_delivery(operator, polymer=None, identified_by="unknown").lot.holds.get()
    answer = send(client_of(lead), f"holds/{hold.pk}/lift/", reason="it is PP").json()
    assert (answer["placed_role"], answer["lifted_role"]) == ("operator", "lead")
    assert not Hold.objects.open().exists()


def test_open_holds_are_found(api_client, operator, lead):
    first = make_delivery(operator, polymer=None, identified_by="unknown").lot.holds.get()
    second = make_delivery(operator, polymer=None, identified_by="unknown").lot.holds.get()
    send(client_of(lead), f"holds/{first.pk}/lift/", reason="it is PP")
    answer = api_client.get("/api/holds/?open=true").json()
    assert [row["id"] for row in answer["results"]] == [second.pk]


def test_a_hold_of_a_recall_names_it(operator, lead):
    _bin, lot = make_full_bin(operator)
    recall = start_recall(lots=[lot], act=make_act(lead, "smells of petrol"))
    (row,) = client_of(lead).get("/api/holds/").json()["results"]
    lifted = send(client_of(lead), f"holds/{row['id']}/lift/", reason="aired").json()
    assert row["recalls"] == lifted["recalls"] == [recall.pk]


def test_the_list_asks_the_same_for_any_length(api_client, operator, django_assert_max_num_queries):
    for _ in range(6):
        make_delivery(operator, polymer=None, identified_by="unknown")
    with django_assert_max_num_queries(4):
        assert len(api_client.get("/api/holds/").json()["results"]) == 6
