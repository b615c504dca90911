"""What there is in stock, by polymer; what a run filled, whatever was corrected behind it."""

import pytest
from django.core.cache import cache

from inventory.actions.lots import dispose_lot
from inventory.models import Lot
from inventory.queries import lots
from inventory.queries.family_trees import picture_of
from inventory.queries.lots import charges_of_run, lot_list, mass_by_polymer, of_run, with_fillers
from inventory.queries.traces import uses_of, with_makers
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_delivery
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import load, make_run, weigh_out


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


@pytest.fixture
def mended_run(lead):
    """A run of a part and an offcut, of a delivery whose mass was corrected afterwards."""
    lot, place = make_delivery(lead).lot, BinFactory()
    run = make_run(lead)
    load(run, lot, lead, 6 * KG)
    weigh_out(run, lead, "part", 3 * KG, pieces=1)
    weigh_out(run, lead, "offcut", KG, bin=place)
    before = {each.pk: each.filled_by for each in lot_list()}
    mend(lead, make_fix(lot.filled_by, 12))
    return run, before


@pytest.mark.django_db
def test_a_run_is_found_by_its_number_though_a_delivery_behind_it_was_corrected(mended_run):
    run, _before = mended_run
    assert [lot.kind for lot in charges_of_run(run.number)] == ["charge"]
    kinds = {lot.kind for lot in of_run(lot_list(), run.number)}
    assert kinds == {"charge", "part", "fill"}


@pytest.mark.django_db
def test_what_filled_a_lot_is_told_though_something_behind_it_was_corrected(
    mended_run, django_assert_num_queries
):
    run, before = mended_run
    delivery = Lot.objects.get(kind="delivery")
    uses = with_makers(uses_of(delivery))
    made = {use.lot.pk: use.lot.filled_by for use in uses if use.lot.pk != delivery.pk}
    assert made == {pk: before[pk] for pk in made}
    again = Lot.objects.select_related("filled_by").get(pk=delivery.pk)
    with django_assert_num_queries(1):
        (told,) = with_fillers([again])
    assert told.filled_by == delivery.taken.latest("pk").posting
    names = [box.name for box in picture_of(delivery, together="run", is_forward=True).boxes]
    assert run.reference in names


@pytest.mark.django_db
def test_nothing_is_asked_about_what_filled_lots_that_nobody_corrected(
    operator, django_assert_num_queries
):
    lot = Lot.objects.select_related("filled_by").get(pk=make_delivery(operator).lot.pk)
    with django_assert_num_queries(0):
        assert with_fillers([lot])[0].filled_by == lot.filled_by
