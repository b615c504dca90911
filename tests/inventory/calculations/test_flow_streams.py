"""Which streams the picture shows: boxes in the middle give what they take."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.flow_streams import BINS, COLUMNS, RUNS, Stream, streams_of
from inventory.calculations.flows import FOUND, MACHINE, PART, PLACES, STOCK, Account, Move

BIN, RUN, MADE, GAIN = (Account(place, 1, 1) for place in (STOCK, MACHINE, PART, FOUND))
roles = st.sampled_from(
    [
        "received",
        "loaded",
        "part",
        "material",
        "offcut",
        "dust",
        "moved",
        "disposed",
        "loss",
        "count",
    ]
)
ends = st.none() | st.sampled_from([BIN, RUN, MADE, GAIN])
moves = st.lists(
    st.builds(Move, st.just(0), roles, ends, ends, st.integers(1, 10**9)).filter(
        lambda move: (
            move.source != move.target
            and {move.source, move.target} != {None, GAIN}
            and move.target != GAIN
        )
    )
)
PLENTY = {BIN: 10**12, RUN: 10**12, MADE: 10**12}


def sums(streams):
    """What each box takes and gives."""
    taken, given_ = Counter(), Counter()
    for stream in streams:
        given_[stream.source] += stream.mass_mg
        taken[stream.target] += stream.mass_mg
    return taken, given_


@given(moves)
def test_bins_and_machines_give_what_they_take(moves):
    taken, given_ = sums(streams_of(PLENTY, moves))
    assert taken[BINS] == given_[BINS]
    assert taken[RUNS] == given_[RUNS]


@given(moves)
def test_every_box_has_a_column_and_forward_streams_lead_to_the_right(moves):
    column = {key: n for n, keys in enumerate(COLUMNS) for key in keys}
    for stream in streams_of(PLENTY, moves):
        assert (column[stream.source] > column[stream.target]) is stream.is_return


def test_an_offcut_goes_on_into_its_bin_and_a_part_stays():
    moves = [Move(0, "offcut", RUN, BIN, 3), Move(0, "part", RUN, MADE, 4)]
    assert set(streams_of({RUN: 7}, moves)) == {
        Stream("machine-start", RUNS, 7),
        Stream(RUNS, "part", 4),
        Stream(RUNS, "offcut", 3),
        Stream("offcut", BINS, 3, is_return=True),
        Stream(BINS, "stock-end", 3),
    }


def test_what_a_scale_found_comes_in_where_it_went():
    moves = [Move(0, "difference", None, GAIN, 5), Move(0, "difference", GAIN, MADE, 5)]
    assert streams_of({}, moves) == [Stream(FOUND, PART, 5)]


def test_worn_parts_come_into_machines():
    moves = [Move(0, "loaded", MADE, RUN, 5), Move(0, "loss", RUN, None, 5)]
    assert streams_of({MADE: 5}, moves) == [Stream("worn", RUNS, 5), Stream(RUNS, "loss", 5)]


def test_places_are_those_of_the_balances():
    assert {account.place for account in (BIN, RUN, MADE, GAIN)} == set(PLACES)
