"""Deliveries over the API."""

import pytest

from inventory.models import Delivery, Lot
from tests.factories.api import receipt_body, send
from tests.factories.costs import set_euro
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    SourceFactory,
    make_delivery,
    make_full_bin,
)

pytestmark = pytest.mark.django_db


def test_a_delivery_becomes_a_lot_in_its_bin(api_client):
    bin = BinFactory()
    answer = send(api_client, "deliveries/", **receipt_body(bin=bin.code)).json()
    assert bin.lots.open().get().code == answer["lot"] == answer["code"]
    assert answer["posting"]["transfers"] == [
        {
            "source": None,
            "target": answer["code"],
            "mass_mg": 10 * KG,
            "role": "received",
            "melted": False,
            "basis": "typed",
            "scale": None,
        }
    ]


def test_gross_less_tare_is_the_net_mass(api_client):
    scale = ScaleFactory()
    body = receipt_body(gross_mg=12 * KG, tare_mg=2 * KG, scale=scale.name, net_mg=None)
    answer = send(api_client, "deliveries/", **body).json()
    assert (answer["net_mg"], answer["scale"]) == (10 * KG, scale.name)


def test_net_that_is_not_gross_less_tare_is_refused(api_client):
    answer = send(api_client, "deliveries/", **receipt_body(gross_mg=12 * KG, tare_mg=KG))
    assert (answer.status_code, answer.json()["code"]) == (422, "net")
    assert not Delivery.objects.exists()


def test_a_tare_above_the_gross_mass_is_refused(api_client):
    body = receipt_body(gross_mg=KG, tare_mg=2 * KG, net_mg=None)
    assert send(api_client, "deliveries/", **body).json()["code"] == "net"
    assert not Delivery.objects.exists()


@pytest.mark.parametrize("lone", [{"gross_mg": KG}, {"tare_mg": KG}])
def test_gross_and_tare_come_together(api_client, lone):
    answer = send(api_client, "deliveries/", **receipt_body(**lone))
    assert list(answer.json()["fields"]) == ["tare_mg"]


def test_a_delivery_without_a_mass_is_refused(api_client):
    answer = send(api_client, "deliveries/", **receipt_body(net_mg=None))
    assert list(answer.json()["fields"]) == ["net_mg"]


def test_a_trade_spelling_is_corrected(api_client):
    answer = send(api_client, "deliveries/", **receipt_body(polymer="hdpe"))
    assert answer.json()["polymer"] == "PE-HD"


def test_what_nobody_knows_goes_on_hold(api_client):
    body = receipt_body(polymer=None, identified_by="unknown")
    answer = send(api_client, "deliveries/", **body).json()
    assert answer["polymer"] is None
    assert Lot.objects.get(code=answer["code"]).holds.open().exists()


def test_a_refused_delivery_stays_on_record_without_a_lot(api_client):
    answer = send(api_client, "deliveries/refusals/", **receipt_body(reason="smells")).json()
    assert (answer["lot"], answer["refusal"]) == (None, "smells")
    assert not Lot.objects.exists()


def test_a_refusal_says_why(api_client):
    answer = send(api_client, "deliveries/refusals/", **receipt_body())
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")
    assert not Delivery.objects.exists()


def test_one_delivery_is_found_by_its_code(api_client, operator):
    delivery = make_delivery(operator)
    answer = api_client.get(f"/api/deliveries/{delivery.code.lower()}/").json()
    assert (answer["number"], answer["net_mg"]) == (delivery.number, 10 * KG)


def test_deliveries_are_narrowed_searched_and_sorted(api_client, operator):
    make_delivery(operator, net_mg=KG, supplier_lot="A-1")
    make_delivery(operator, net_mg=3 * KG, supplier_lot="A-2")
    make_delivery(operator, net_mg=2 * KG, polymer="PP", supplier_lot="A-3")
    query = "polymer=pe-hd&search=a-&ordering=-net_mg&refused=false&delivered_from=2026-03-02"
    answer = api_client.get(f"/api/deliveries/?{query}").json()
    assert [row["supplier_lot"] for row in answer["results"]] == ["A-2", "A-1"]


def test_the_list_asks_the_same_for_any_length(api_client, operator, django_assert_max_num_queries):
    for _ in range(6):
        make_full_bin(operator)
    with django_assert_max_num_queries(3):
        assert len(api_client.get("/api/deliveries/").json()["results"]) == 6


def test_a_price_comes_with_the_receipt(api_client, lead):
    set_euro(lead)
    send(api_client, "deliveries/", **receipt_body(per_kg="0.35"))
    assert str(Delivery.objects.get().prices.get().per_kg) == "0.3500"


def test_a_mass_far_from_what_the_source_brought_is_asked_back_until_confirmed(
    api_client, operator
):
    source = SourceFactory()
    for _number in range(3):
        make_delivery(operator, source=source)
    body = receipt_body(source=source.name, net_mg=10_000)
    answer = send(api_client, "deliveries/", **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "surprising")
    assert Delivery.objects.count() == 3
    assert send(api_client, "deliveries/", **body, confirmed=True).status_code == 201
