"""Sixteen tablets count at once: the book follows one scale, and a round keeps every bin once."""

import pytest

from inventory.actions.lots import move_lot
from inventory.actions.rounds import finish_round, skip_bin
from inventory.models import Count, Mass
from inventory.queries.lots import open_lot_in
from inventory.queries.rounds import progress_of
from inventory.queries.verification import first_fault
from tests.factories.counts import count, make_round, seen
from tests.factories.inventory import BinFactory, make_act, make_full_bin
from tests.race.test_races import TABLETS, at_once, mover, postings, refusals

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


def counter(bin, by, net_mg, accepted, **more):
    act = make_act(by, "counted")
    return lambda: count(bin, net_mg, by, accepted=accepted, act=act, **more)


@pytest.mark.parametrize("step_mg", [-10_000, 10_000])
def test_of_sixteen_counts_of_one_bin_one_corrects_it(operator, step_mg):
    """All saw 10 kg; each read something else. Whoever comes second sees another book first."""
    bin, _lot = make_full_bin(operator)
    accepted, nets = seen(bin), [10_000_000 + step_mg * n for n in range(1, TABLETS + 1)]
    answers = at_once(*[counter(bin, operator, net_mg, accepted) for net_mg in nets])
    (done,) = postings(answers)
    assert refusals(answers) == {"book-changed"}
    assert open_lot_in(bin).held_mg == done.net_mg
    assert first_fault() is None


def test_one_count_sent_by_sixteen_tablets_is_one_count(operator):
    bin, _lot = make_full_bin(operator)
    answers = at_once(*[counter(bin, operator, 9_700_000, seen(bin))] * TABLETS)
    assert len({answer.pk for answer in answers}) == Count.objects.count() == 1
    assert open_lot_in(bin).held_mg == 9_700_000


def test_a_count_never_overwrites_what_was_moved_meanwhile(operator):
    """Whatever comes first, each count that was booked found the book that it had seen."""
    bin, lot = make_full_bin(operator)
    accepted = seen(bin)
    moves = [mover(lot, BinFactory(), operator, 100_000) for _ in range(8)]
    counts = [counter(bin, operator, 9_900_000, accepted) for _ in range(8)]
    at_once(*moves, *counts)
    assert Count.objects.count() <= 1
    assert set(Count.objects.values_list("book_mg", flat=True)) <= {10_000_000}
    assert first_fault() is None


def test_counts_and_moves_that_cross_never_block_each_other(operator):
    left, right = make_full_bin(operator)[0], make_full_bin(operator)[0]

    def send(source, target):
        mass, act = Mass(100_000), make_act(operator)
        return lambda: move_lot(lot=open_lot_in(source), bin=target, mass=mass, act=act)

    def recount(bin, more_mg):
        return lambda: count(bin, open_lot_in(bin).held_mg + more_mg, operator)

    calls = [
        *[send(left, right) for _ in range(4)],
        *[send(right, left) for _ in range(4)],
        *[recount(bin, mg) for bin in (left, right) for mg in (50_000, -50_000, 0, 70_000)],
    ]
    answers = at_once(*calls)
    assert refusals(answers) <= {"book-changed", "sealed", "short", "surprising"}
    assert first_fault() is None


def test_a_round_that_is_finished_meanwhile_keeps_each_bin_once(operator, lead):
    bins = [make_full_bin(operator)[0] for _ in range(8)]
    walk = make_round(operator)
    stops = {stop.bin_id: stop for stop in walk.stops.select_related("round")}
    counts = [counter(bin, operator, 9_700_000, seen(bin), stop=stops[bin.pk]) for bin in bins]
    skips = [
        lambda bin=bin: skip_bin(walk=walk, bin=bin, act=make_act(lead, "in use"))
        for bin in bins[:4]
    ]
    answers = at_once(
        *counts, *skips, lambda: finish_round(walk=walk, act=make_act(lead, "closing time"))
    )
    assert refusals(answers) <= {"round-finished", "counted"}
    told = progress_of(walk)
    assert (told.left, told.corrected) == ([], Count.objects.count())
    assert told.done == told.corrected + told.skipped == len(bins)
    assert first_fault() is None
