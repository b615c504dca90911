"""What there is in stock, by polymer."""

import pytest
from django.core.cache import cache

from inventory.actions.lots import dispose_lot
from inventory.queries import lots
from inventory.queries.lots import mass_by_polymer
from tests.factories.inventory import KG, grams, make_act, make_delivery


@pytest.fixture(autouse=True)
def forgetful():
    cache.clear()
    yield
    cache.clear()


@pytest.mark.django_db
def test_sums_what_is_left_by_polymer_the_largest_first(operator):
    make_delivery(operator, polymer=None, identified_by="unknown")
    lot = make_delivery(operator).lot
    make_delivery(operator)
    dispose_lot(lot=lot, mass=grams(1000), act=make_act(operator, "wet"))
    assert mass_by_polymer() == [("PE-HD", 19 * KG), ("", 10 * KG)]


@pytest.mark.django_db(transaction=True)
def test_a_sum_that_took_long_is_remembered_for_a_while(operator, monkeypatch):
    make_delivery(operator)
    clock = iter([0.0, 10.0, 20.0, 30.0])
    monkeypatch.setattr(lots, "monotonic", lambda: next(clock))
    kept = {}
    monkeypatch.setattr(lots.cache, "set", lambda *args: kept.update({args[0]: args[1:]}))
    monkeypatch.setattr(lots.cache, "get", lambda key: kept.get(key, [None])[0])
    first = mass_by_polymer()
    make_delivery(operator)
    assert mass_by_polymer() == first == [("PE-HD", 10 * KG)]
    assert kept[lots.STOCK][1] == lots.LONGEST_S
    kept.clear()
    assert mass_by_polymer() == [("PE-HD", 20 * KG)]
