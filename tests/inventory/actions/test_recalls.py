"""A recall stops all that holds any of what is bad, once, with one reason."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions.lots import dispose_lot, hold_lot, lift_hold, move_lot
from inventory.actions.recalls import MOST_LOTS, lift_recall, start_recall
from inventory.models import Hold, Lot, Mass, Recall
from inventory.queries.lots import open_lot_in
from tests.factories.book import refused
from tests.factories.inventory import (
    KG,
    BinFactory,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def spread(operator):
    """A bad delivery in a bin, in a part, in offcuts and still in the machine; one good delivery apart."""
    _bin, bad = make_full_bin(operator)
    run = make_run(operator)
    load(run, bad, operator, 6 * KG)
    weigh_out(run, operator, "part", 3 * KG, pieces=1)
    weigh_out(run, operator, "offcut", KG, bin=BinFactory())
    make_delivery(operator)
    return bad


def held_lots():
    return set(Lot.objects.filter(holds__lifted_at=None, holds__isnull=False))


def test_everything_that_holds_some_of_it_is_on_hold(spread, lead):
    start_recall(lots=[spread], act=make_act(lead, "smells of petrol"))
    holding = Lot.objects.open().exclude(kind="delivery") | Lot.objects.filter(pk=spread.pk)
    assert held_lots() == set(holding)
    assert {lot.kind for lot in held_lots()} == {"delivery", "part", "fill", "charge"}


def test_what_has_none_of_it_stays_free(spread, lead):
    start_recall(lots=[spread], act=make_act(lead, "smells"))
    good = Lot.objects.filter(kind="delivery").exclude(pk=spread.pk).get()
    assert good not in held_lots()


def test_a_recall_again_under_its_id_changes_nothing(spread, lead):
    act = make_act(lead, "smells")
    first = start_recall(lots=[spread], act=act)
    assert start_recall(lots=[spread], act=act) == first
    assert Hold.objects.count() == first.holds.count() == 4


def test_a_hold_that_stands_already_stays_beside_the_recalls_own(spread, lead):
    other = hold_lot(lot=spread, act=make_act(lead, "wet"))
    recall = start_recall(lots=[spread], act=make_act(lead, "smells"))
    lift_hold(hold=other, act=make_act(lead, "dried"))
    assert spread in held_lots()
    assert other not in recall.holds.all()


def test_a_least_share_leaves_out_what_holds_less(operator, lead):
    bin, bad = make_full_bin(operator)
    place = BinFactory(capacity_mg=100 * KG)
    move_lot(lot=make_delivery(operator, net_mg=50 * KG).lot, bin=place, act=make_act(operator))
    move_lot(lot=bad, bin=place, mass=grams(500), act=make_act(operator))
    start_recall(lots=[bad], least_permille=100, act=make_act(lead, "smells"))
    assert held_lots() == {open_lot_in(bin)}


def test_a_recall_is_lifted_as_a_whole_and_says_by_whom(spread, lead):
    recall = start_recall(lots=[spread], act=make_act(lead, "smells"))
    lift_recall(recall=recall, act=make_act(lead, "was the oil on the table"))
    assert held_lots() == set()
    assert {hold.lift_reason for hold in recall.holds.all()} == {"was the oil on the table"}
    assert {hold.lifted_by for hold in recall.holds.all()} == {lead}


def test_a_hold_lifted_before_keeps_its_own_reason(spread, lead):
    recall = start_recall(lots=[spread], act=make_act(lead, "smells"))
    first = recall.holds.first()
    lift_hold(hold=first, act=make_act(lead, "washed"))
    lift_recall(recall=recall, act=make_act(lead, "all clean"))
    first.refresh_from_db()
    assert first.lift_reason == "washed"


def test_a_recall_that_is_lifted_is_not_lifted_twice(spread, lead):
    recall = start_recall(lots=[spread], act=make_act(lead, "smells"))
    lift_recall(recall=recall, act=make_act(lead, "clean"))
    with refused("not-held"):
        lift_recall(recall=recall, act=make_act(lead, "clean"))


def test_a_lift_again_under_its_id_changes_nothing(spread, lead):
    recall = start_recall(lots=[spread], act=make_act(lead, "smells"))
    act = make_act(lead, "clean")
    lift_recall(recall=recall, act=act)
    assert lift_recall(recall=recall, act=act) == recall


def test_a_recall_without_a_reason_is_refused(spread, lead):
    with refused("reason"):
        start_recall(lots=[spread], act=make_act(lead))


@pytest.mark.parametrize("many", [0, MOST_LOTS + 1])
def test_a_recall_of_nothing_or_too_much_is_refused(operator, lead, many):
    lots = [make_delivery(operator, net_mg=KG).lot for _ in range(many)]
    with refused("lots"):
        start_recall(lots=lots, act=make_act(lead, "smells"))


@pytest.mark.parametrize("share", [-1, 1001])
def test_a_share_that_is_none_is_refused(spread, lead, share):
    with refused("share"):
        start_recall(lots=[spread], least_permille=share, act=make_act(lead, "smells"))


def test_what_nobody_holds_any_more_is_refused(operator, lead):
    bin, bad = make_full_bin(operator)
    dispose_lot(lot=open_lot_in(bin), act=make_act(operator, "burnt"))
    with refused("nothing"):
        start_recall(lots=[bad], act=make_act(lead, "smells"))
    assert not Recall.objects.exists()


def test_a_share_that_is_just_the_least_one_is_stopped(operator, lead):
    """5 g of 1 kg are 0.5 %, and in floats, after 100.003 g were taken out of it, a hair less."""
    bad, good = (make_delivery(operator).lot for _ in range(2))
    place = BinFactory()
    move_lot(lot=good, bin=place, mass=grams(995), act=make_act(operator))
    move_lot(lot=bad, bin=place, mass=grams(5), act=make_act(operator))
    mixed = open_lot_in(place)
    dispose_lot(lot=mixed, mass=Mass(100_003), act=make_act(operator, "spilt"))
    start_recall(lots=[bad], least_permille=5, act=make_act(lead, "smells"))
    assert mixed in held_lots()


def statements_to_stop_and_lift(lot, lead):
    """Return how many lots a recall stopped, and the statements it took to stop and to free them."""
    with CaptureQueriesContext(connection) as asked:
        recall = start_recall(lots=[lot], act=make_act(lead, "smells"))
        lift_recall(recall=recall, act=make_act(lead, "was the oil on the table"))
    return recall.holds.count(), len(asked)


def test_to_stop_many_lots_takes_no_more_statements_than_few(spread, operator, lead):
    few, for_few = statements_to_stop_and_lift(spread, lead)
    for _each in range(30):
        move_lot(lot=spread, bin=BinFactory(), mass=grams(10), act=make_act(operator))
    many, for_many = statements_to_stop_and_lift(spread, lead)
    assert many == few + 30
    assert for_many <= for_few
