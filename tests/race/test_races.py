"""Sixteen tablets at once: nothing is lost, nothing doubled, nothing negative, on either database."""

from concurrent.futures import ThreadPoolExecutor
from functools import partial
from threading import Barrier

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from inventory.actions.deliveries import receive_delivery
from inventory.actions.lots import dispose_lot, move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Lot, Mass, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.verification import figures, first_fault
from products.actions.parts import hand_over_part
from products.models import Handover
from tests.factories.inventory import (
    KG,
    BinFactory,
    make_act,
    make_delivery,
    make_full_bin,
    make_receipt,
)
from tests.factories.mendings import make_fix, mend, token_for
from tests.factories.workshop import load, make_part, make_run, weigh_out
from workshop.actions.corrections import correct_postings
from workshop.actions.runs import close_run
from workshop.models import Load

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

TABLETS = 16


def at_once(*calls):
    """Make every call in a thread of its own at the same moment; return answers and refusals."""
    start = Barrier(len(calls))

    def run(call):
        start.wait()
        try:
            return call()
        except ValidationError as refusal:
            return refusal.code
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as tablets:
        return list(tablets.map(run, calls))


def send(source, target, by):
    """Move a little of what stands in a bin at that moment."""
    return move_lot(lot=open_lot_in(source), bin=target, mass=Mass(100_000), act=make_act(by))


def postings(answers):
    return [answer for answer in answers if not isinstance(answer, str)]


def refusals(answers):
    return {answer for answer in answers if isinstance(answer, str)}


def mover(lot, bin, by, mass_mg):
    act = make_act(by)
    return lambda: move_lot(lot=lot, bin=bin, mass=Mass(mass_mg), act=act)


def test_sixteen_tablets_empty_one_bin_by_moving(operator):
    """10 kg in portions of 0.9 kg: eleven get theirs, five are refused."""
    _bin, lot = make_full_bin(operator)
    bins = [BinFactory() for _ in range(TABLETS)]
    answers = at_once(*[mover(lot, bin, operator, 900_000) for bin in bins])
    lot.refresh_from_db()
    assert (len(postings(answers)), refusals(answers), lot.held_mg) == (11, {"short"}, 100_000)
    assert sorted(open_lot_in(bin).held_mg for bin in bins if open_lot_in(bin)) == [900_000] * 11
    assert first_fault() is None


def test_sixteen_tablets_empty_one_bin_by_loading(operator):
    _bin, lot = make_full_bin(operator)
    runs = [make_run(operator) for _ in range(TABLETS)]
    answers = at_once(*[lambda run=run: load(run, lot, operator, 900_000) for run in runs])
    lot.refresh_from_db()
    assert (len(postings(answers)), refusals(answers), lot.held_mg) == (11, {"short"}, 100_000)
    assert sum(Load.objects.values_list("mass_mg", flat=True)) == 9_900_000
    assert first_fault() is None


def test_sixteen_tablets_fill_one_bin(operator):
    """Room for 8 kg, portions of 0.9 kg: eight fit."""
    _bin, lot = make_full_bin(operator, net_mg=40 * KG)
    bin = BinFactory(capacity_mg=8 * KG)
    answers = at_once(*[mover(lot, bin, operator, 900_000) for _ in range(TABLETS)])
    assert (len(postings(answers)), refusals(answers)) == (8, {"overfull"})
    assert open_lot_in(bin).held_mg == 7_200_000
    assert first_fault() is None


def test_sixteen_deliveries_into_one_bin(operator):
    bin, receipts = BinFactory(), [make_receipt(net_mg=KG + number) for number in range(TABLETS)]
    acts = [make_act(operator) for _ in receipts]
    answers = at_once(
        *[
            lambda receipt=receipt, act=act: receive_delivery(receipt=receipt, bin=bin, act=act)
            for receipt, act in zip(receipts, acts, strict=True)
        ]
    )
    assert refusals(answers) == set()
    assert open_lot_in(bin).held_mg == sum(receipt.net_mg for receipt in receipts)
    assert first_fault() is None


def test_one_request_sent_by_sixteen_tablets_is_one_posting(operator):
    _bin, lot = make_full_bin(operator)
    same = mover(lot, BinFactory(), operator, 900_000)
    answers = at_once(*[same] * TABLETS)
    assert len({answer.pk for answer in answers}) == 1
    assert Posting.objects.filter(kind="move").count() == 1
    lot.refresh_from_db()
    assert lot.held_mg == 9_100_000


def test_one_delivery_sent_by_sixteen_tablets_is_one_delivery(operator):
    receipt, act = make_receipt(), make_act(operator)
    answers = at_once(*[lambda: receive_delivery(receipt=receipt, act=act)] * TABLETS)
    assert len({answer.pk for answer in answers}) == 1
    assert (Transfer.objects.count(), Lot.objects.count()) == (1, 1)


def test_one_posting_is_reversed_once(operator, lead):
    _bin, lot = make_full_bin(operator)
    posting = mover(lot, BinFactory(), operator, KG)()
    acts = [make_act(lead, "wrong bin") for _ in range(TABLETS)]
    answers = at_once(*[lambda act=act: reverse_posting(posting=posting, act=act) for act in acts])
    assert (len(postings(answers)), refusals(answers)) == (1, {"already-reversed"})
    lot.refresh_from_db()
    assert lot.held_mg == 10 * KG


def test_a_part_is_either_handed_over_or_ground(operator):
    part = make_part(operator, make_full_bin(operator)[1], KG)
    runs = [make_run(operator, "granulate") for _ in range(8)]
    grind = [lambda run=run: load(run, part.lot, operator) for run in runs]
    hand = [lambda: hand_over_part(part=part, act=make_act(operator)) for _ in range(8)]
    answers = at_once(*grind, *hand)
    assert len(postings(answers)) == 1
    assert refusals(answers) in ({"used-up", "empty"}, {"in-use"})
    assert Handover.objects.count() + Load.objects.filter(part=part).count() == 1


def test_tablets_that_cross_each_other_never_block_each_other(operator, lead):
    """Moves there and back, toppings up, loads, yields, waste and reversals on two bins and one run."""
    (left, lot), (right, other) = make_full_bin(operator), make_full_bin(operator)
    run = make_run(operator, "granulate")
    load(run, lot, operator, KG)
    done = [mover(lot, BinFactory(), operator, KG)(), mover(other, BinFactory(), operator, KG)()]
    calls = [
        *[partial(send, left, right, operator)] * 4,
        *[partial(send, right, left, operator)] * 4,
        *[lambda: load(run, open_lot_in(left), operator, 50_000) for _ in range(2)],
        *[lambda: weigh_out(run, operator, "leftover", 50_000, bin=right) for _ in range(2)],
        lambda: dispose_lot(lot=open_lot_in(right), mass=Mass(1000), act=make_act(lead, "wet")),
        lambda: make_delivery(operator, bin=left),
        *[lambda p=p: reverse_posting(posting=p, act=make_act(lead, "wrong")) for p in done],
    ]
    answers = at_once(*calls)
    assert refusals(answers) <= {"short", "sealed", "empty", "later-postings", "same-bin"}
    sums = figures()
    assert sums["received_mg"] == sums["held_mg"] + sums["gone_mg"] == 30 * KG
    assert first_fault() is None


def test_one_posting_is_corrected_once(operator, lead):
    _bin, lot = make_full_bin(operator)
    posting = mover(lot, BinFactory(), operator, KG)()
    fixes = [make_fix(posting, 0.5 + number / 100) for number in range(TABLETS)]
    shown = [token_for(fix) for fix in fixes]
    answers = at_once(
        *[
            lambda fix=fix, token=token: mend(lead, fix, shown=token)
            for fix, token in zip(fixes, shown, strict=True)
        ]
    )
    assert (len(postings(answers)), refusals(answers)) == (1, {"gone"})
    assert Posting.objects.filter(kind="correct").count() == 1
    assert first_fault() is None


def test_one_correction_sent_by_sixteen_tablets_is_one_correction(operator, lead):
    _bin, lot = make_full_bin(operator)
    fix = make_fix(mover(lot, BinFactory(), operator, KG)(), 0.5)
    act, token = make_act(lead, "misread"), token_for(fix)
    answers = at_once(*[lambda: mend(lead, fix, act=act, shown=token)] * TABLETS)
    assert len({answer.pk for answer in answers}) == 1
    assert Posting.objects.filter(kind="correct").count() == 1


def test_corrections_race_with_all_that_goes_on_in_the_bins_they_reach(operator, lead):
    """A load of a run is corrected while its bins are moved, loaded, topped up and weighed into."""
    (left, lot), (right, _other) = make_full_bin(operator), make_full_bin(operator)
    run = make_run(operator, "granulate")
    wrong = load(run, lot, operator, KG).posting
    weigh_out(run, operator, "material", 900_000, bin=right)
    fixes = [make_fix(wrong, 1 + number / 100) for number in range(6)]

    def correct(fix):
        return mend(lead, fix, correct=correct_postings)

    calls = [
        *[lambda fix=fix: correct(fix) for fix in fixes[1:]],
        *[partial(send, left, right, operator)] * 3,
        *[partial(send, right, left, operator)] * 3,
        *[lambda: load(run, open_lot_in(left), operator, 50_000) for _ in range(2)],
        lambda: weigh_out(run, operator, "leftover", 50_000, bin=right),
        lambda: make_delivery(operator, bin=left),
        lambda: close_run(run=run, act=make_act(operator, "dust")),
    ]
    answers = at_once(*calls)
    assert refusals(answers) <= {
        *("book-moved", "gone", "gap", "over", "short", "sealed", "same-bin", "run-closed"),
        *("no-charge", "empty", "nothing-made", "conflict"),
    }
    assert postings(answers)
    assert first_fault() is None
