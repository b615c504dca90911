"""Rounds: a fixed route, bins skipped with a reason, several people, and an end."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.actions.postings import reverse_posting
from inventory.actions.rounds import finish_round, skip_bin
from inventory.models import Change, Round, Stop
from tests.factories.book import refused, written
from tests.factories.counts import count, make_round
from tests.factories.inventory import BinFactory, make_act, make_full_bin

pytestmark = pytest.mark.django_db


@pytest.fixture
def bins(db):
    """Bins of two places, made in no order."""
    places = [("B-2", "wall"), ("A-3", "wall"), ("C-1", "rack")]
    return [BinFactory(name=name, place=place) for name, place in places]


@pytest.fixture
def walk(bins, operator):
    return make_round(operator)


def names(walk):
    return [stop.bin.name for stop in walk.stops.all()]


def test_a_round_goes_by_place_and_name(walk):
    assert names(walk) == ["C-1", "A-3", "B-2"]


def test_a_round_may_keep_to_one_place(bins, operator):
    assert names(make_round(operator, place="wall")) == ["A-3", "B-2"]


def test_retired_bins_are_not_on_the_route(bins, operator):
    BinFactory(retired_at=timezone.now())
    assert len(names(make_round(operator))) == 3


def test_a_round_may_leave_out_what_was_counted_lately(bins, operator):
    count(bins[0], 0, operator)
    old = make_act(operator, happened_at=timezone.now() - timedelta(days=8))
    count(bins[1], 0, operator, act=old)
    assert names(make_round(operator, days=7)) == ["C-1", "A-3"]


def test_a_round_without_a_bin_is_refused(db, operator):
    with refused("no-bins"):
        make_round(operator, place="nowhere")


def test_a_second_round_leaves_the_first_as_it_is(walk, operator):
    skip_bin(walk=walk, bin=walk.stops.first().bin, act=make_act(operator, "in use"))
    before = list(walk.stops.values())
    make_round(operator)
    assert list(walk.stops.values()) == before
    assert Round.objects.open().count() == 2


def test_a_skip_keeps_who_when_and_why(walk, operator):
    act = make_act(operator, "in use")
    stop = skip_bin(walk=walk, bin=walk.stops.first().bin, act=act)
    assert (stop.skipped_by, stop.skipped_at, stop.skip_reason) == (operator, act.at, "in use")
    assert Change.objects.get(uuid=act.key).subject == walk.number


def test_a_skip_needs_a_reason(walk, operator):
    with refused("reason"):
        skip_bin(walk=walk, bin=walk.stops.first().bin, act=make_act(operator))


def test_a_bin_off_the_route_is_not_skipped(walk, operator):
    other = BinFactory()
    with refused("not-on-route"):
        skip_bin(walk=walk, bin=other, act=make_act(operator, "in use"))


def test_a_counted_bin_is_not_skipped(walk, operator):
    stop = walk.stops.first()
    count(stop.bin, 0, operator, stop=stop)
    with refused("counted"):
        skip_bin(walk=walk, bin=stop.bin, act=make_act(operator, "in use"))


def test_a_bin_whose_count_was_reversed_may_be_skipped(operator, lead):
    bin, _lot = make_full_bin(operator)
    walk = make_round(operator)
    done = count(bin, 9_700_000, operator, stop=walk.stops.get())
    reverse_posting(posting=done.posting, act=make_act(lead, "misread"))
    assert skip_bin(walk=walk, bin=bin, act=make_act(operator, "in use")).skipped_at


def test_a_skipped_bin_may_be_counted_later(walk, operator):
    stop = walk.stops.first()
    skip_bin(walk=walk, bin=stop.bin, act=make_act(operator, "in use"))
    assert count(stop.bin, 0, operator, stop=stop).stop == stop


def test_finishing_skips_what_is_left_with_the_reason(walk, operator):
    first = walk.stops.first()
    count(first.bin, 0, operator, stop=first)
    finish_round(walk=walk, act=make_act(operator, "closing time"))
    reasons = dict(Stop.objects.values_list("bin__name", "skip_reason"))
    assert reasons == {"C-1": "", "A-3": "closing time", "B-2": "closing time"}


def test_finishing_early_needs_a_reason(walk, operator):
    with refused("reason"):
        finish_round(walk=walk, act=make_act(operator))


def test_finishing_when_all_is_done_needs_none(walk, operator):
    for stop in walk.stops.all():
        count(stop.bin, 0, operator, stop=stop)
    assert finish_round(walk=walk, act=make_act(operator)).finished_by == operator


@pytest.mark.parametrize("what", ["skip", "finish"])
def test_a_finished_round_stays_as_it_is(walk, operator, what):
    finish_round(walk=walk, act=make_act(operator, "closing time"))
    act, bin = make_act(operator, "again"), walk.stops.first().bin
    with refused("round-finished"):
        skip_bin(walk=walk, bin=bin, act=act) if what == "skip" else finish_round(
            walk=walk, act=act
        )


def test_repeats_change_nothing(walk, operator):
    bin, acts = walk.stops.first().bin, [make_act(operator, "why") for _ in range(2)]
    skipped = skip_bin(walk=walk, bin=bin, act=acts[0])
    finished = finish_round(walk=walk, act=acts[1])
    before = written()
    assert skip_bin(walk=walk, bin=bin, act=acts[0]) == skipped
    assert finish_round(walk=walk, act=acts[1]) == finished
    assert written() == before
