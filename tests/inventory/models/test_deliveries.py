"""What the database itself refuses of deliveries."""

import pytest

from inventory.models import Delivery
from tests.factories.book import broken
from tests.factories.inventory import KG, make_delivery

pytestmark = pytest.mark.django_db


@pytest.fixture
def delivery(operator):
    return make_delivery(operator)


def set_on(delivery, **fields):
    Delivery.objects.filter(pk=delivery.pk).update(**fields)


def test_delivery_has_mass(delivery):
    with broken("delivery_has_mass"):
        set_on(delivery, net_mg=0)


@pytest.mark.parametrize(
    ("gross_mg", "tare_mg"), [(12 * KG, KG), (10 * KG, None), (None, KG), (9 * KG, -KG)]
)
def test_delivery_net_is_gross_less_tare(delivery, gross_mg, tare_mg):
    with broken("delivery_net_is_gross_less_tare"):
        set_on(delivery, gross_mg=gross_mg, tare_mg=tare_mg)


@pytest.mark.parametrize("fields", [{"lot": None}, {"refusal": "wet"}])
def test_delivery_accepted_or_refused(delivery, fields):
    with broken("delivery_accepted_or_refused"):
        set_on(delivery, **fields)


@pytest.mark.parametrize("fields", [{"polymer": None}, {"identified_by": "unknown"}])
def test_delivery_unknown_has_no_polymer(delivery, fields):
    with broken("delivery_unknown_has_no_polymer"):
        set_on(delivery, **fields)


def test_an_unknown_delivery_has_no_polymer(operator):
    assert make_delivery(operator, polymer=None, identified_by="unknown").polymer is None


def test_a_delivery_has_a_shop_number(delivery):
    assert delivery.number == f"D-{delivery.pk:04d}"
