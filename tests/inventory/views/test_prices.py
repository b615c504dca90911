"""Pages of what deliveries cost."""

import pytest
from django.urls import reverse

from inventory.models import Price
from tests.factories.costs import put_price, set_euro
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db


def edit(delivery):
    return reverse("inventory:delivery-price", args=[delivery.code])


def history(delivery):
    return reverse("inventory:delivery-price-list", args=[delivery.code])


def text(answer):
    return answer.content.decode().replace("\xa0", " ")


def test_the_lead_sets_a_price_and_everyone_reads_it(desk, floor, lead, key):
    set_euro(lead)
    delivery = make_delivery(lead)
    answer = desk.post(edit(delivery), {"key": key, "per_kg": "0,4", "reason": "invoice 17"})
    assert answer.headers["Location"] == delivery.get_absolute_url()
    assert "0.40 EUR" in text(floor.get(delivery.get_absolute_url()))
    assert "invoice 17" in text(floor.get(history(delivery)))


def test_a_price_that_is_refused_is_shown_as_typed(desk, lead, key):
    delivery = make_delivery(lead)
    answer = desk.post(edit(delivery), {"key": key, "per_kg": "0.4"})
    assert answer.status_code == 422
    assert 'value="0.4"' in text(answer)
    assert not Price.objects.exists()


def test_an_operator_sets_none(floor, operator, key):
    delivery = make_delivery(operator)
    assert floor.post(edit(delivery), {"key": key, "per_kg": "1"}).status_code == 403
    assert edit(delivery) not in text(floor.get(delivery.get_absolute_url()))


def test_without_a_price_the_pages_say_so(floor, lead):
    delivery = make_delivery(lead)
    assert "not known" in text(floor.get(delivery.get_absolute_url()))
    assert "No price yet" in text(floor.get(history(delivery)))


def test_a_price_taken_back_is_told_as_not_known(floor, lead):
    set_euro(lead)
    delivery = make_delivery(lead)
    put_price(lead, delivery, 2)
    put_price(lead, delivery, None)
    assert "not known" in text(floor.get(delivery.get_absolute_url()))


def test_every_price_of_a_delivery_has_the_decimals_of_its_currency(desk, lead):
    set_euro(lead)
    delivery = make_delivery(lead)
    put_price(lead, delivery, "1.5")
    assert "1.50 EUR" in text(desk.get(history(delivery)))
    assert 'value="1.50"' in text(desk.get(edit(delivery)))
