"""A recall that stands stops what an act gives back to a lot that had nothing of it."""

import pytest

from inventory.actions.holds import place_hold
from inventory.actions.lots import dispose_lot, lift_hold, move_lot
from inventory.actions.postings import reverse_posting
from inventory.actions.recalls import lift_recall, start_recall
from inventory.models import Mass
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import load, make_run, weigh_out
from workshop.actions.runs import close_run, reopen_run
from workshop.models import Charge

pytestmark = pytest.mark.django_db


@pytest.fixture
def thrown(operator):
    """A bad delivery: 4 kg in a bin, and the posting by which the rest was thrown away."""
    _bin, bad = make_full_bin(operator)
    move_lot(lot=bad, bin=BinFactory(), mass=Mass(4 * KG), act=make_act(operator))
    return bad, dispose_lot(lot=bad, act=make_act(operator, "wet"))


def recalled(bad, lead, **more):
    return start_recall(lots=[bad], act=make_act(lead, "smells of petrol"), **more)


def undo(posting, lead):
    reverse_posting(posting=posting, act=make_act(lead, "is still here"))


def test_a_hold_says_who_placed_it_in_which_role(lead, thrown):
    hold = place_hold(thrown[0], "smells", make_act(lead))
    assert (hold.placed_by, hold.placed_role, hold.lifted_at) == (lead, "lead", None)


def test_what_a_reversal_gives_back_is_stopped_by_the_recall(lead, thrown):
    bad, posting = thrown
    recall = recalled(bad, lead)
    assert not bad.holds.exists()
    undo(posting, lead)
    hold = bad.holds.open().get()
    assert (hold.reason, hold.recalls.get()) == ("smells of petrol", recall)


def test_what_a_reversal_leaves_with_more_than_the_least_share_is_stopped(lead, operator):
    """1 kg of the bad lot among 9 kg of another is 10 %; without those it is all of it."""
    (_bin, bad), (_other, good) = make_full_bin(operator), make_full_bin(operator)
    bin, act = BinFactory(), make_act(operator)
    move_lot(lot=bad, bin=bin, mass=Mass(KG), act=make_act(operator))
    posting = move_lot(lot=good, bin=bin, mass=Mass(9 * KG), act=act)
    recall = recalled(bad, lead, least_permille=200)
    assert not open_lot_in(bin).holds.exists()
    undo(posting, lead)
    assert open_lot_in(bin).holds.open().get().recalls.get() == recall
    assert not good.holds.exists()


def test_once_the_recall_is_lifted_what_comes_back_is_free(lead, thrown):
    bad, posting = thrown
    lift_recall(recall=recalled(bad, lead), act=make_act(lead, "was the oil"))
    undo(posting, lead)
    assert not bad.holds.exists()


def test_what_was_lifted_singly_stays_lifted(lead, operator, thrown):
    bad, posting = thrown
    undo(posting, lead)
    recall = recalled(bad, lead)
    held = recall.holds.get(lot=bad)
    lift_hold(hold=held, act=make_act(lead, "washed"))
    undo(dispose_lot(lot=bad, mass=Mass(KG), act=make_act(operator, "wet")), lead)
    assert not bad.holds.open().exists()
    assert recall.holds.open().exists()


def test_what_a_run_lost_is_stopped_in_its_charge_when_it_is_opened_again(lead, operator):
    _bin, bad = make_full_bin(operator)
    run = make_run(operator)
    load(run, bad, operator, 5 * KG)
    weigh_out(run, operator, "offcut", 3 * KG, bin=BinFactory())
    close_run(run=run, act=make_act(operator, "swept away"))
    recalled(bad, lead)
    reopen_run(run=run, act=make_act(lead, "a part was forgotten"))
    assert Charge.objects.get(run=run).lot.holds.open().exists()


def test_a_correction_stops_what_turns_out_to_hold_some_of_it(lead, operator):
    """What is ahead of the mistake holds some of it now, though the mistake was not there."""
    place, other = BinFactory(), BinFactory()
    bad, good = (make_delivery(operator).lot for _ in range(2))
    wrong = move_lot(lot=good, bin=place, mass=Mass(4 * KG), act=make_act(operator))
    move_lot(lot=open_lot_in(place), bin=other, mass=Mass(KG), act=make_act(operator))
    bad_bin = BinFactory()
    move_lot(lot=bad, bin=bad_bin, mass=Mass(5 * KG), act=make_act(operator))
    dispose_lot(lot=bad, act=make_act(operator, "wet"))
    recall = recalled(bad, lead)
    out = bad.given.get(role="disposed").posting
    mend(lead, make_fix(wrong, source=bad), make_fix(out, 1))
    assert {lot.bin for lot in (hold.lot for hold in recall.holds.open())} == {
        bad_bin,
        place,
        other,
    }
