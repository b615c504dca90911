"""What every lot of a graph consists of, beside the sweep back from one lot."""

from random import Random

import pytest

from inventory.calculations.mixtures import is_same, mixtures, origin_lots
from inventory.calculations.traces import Cycle, origin_shares


def woven(seed, lots=60):
    """Twelve deliveries, then lots that each take from up to four before them."""
    random = Random(seed)
    edges = [(None, lot, random.randrange(1, 99), False, "") for lot in range(12)]
    for lot in range(12, lots):
        for source in random.sample(range(lot), random.randint(1, 4)):
            edges.append((source, lot, random.randrange(1, 99), False, ""))
    return edges


@pytest.mark.parametrize("seed", range(5))
def test_agrees_with_the_sweep_back_from_each_lot(seed):
    edges = woven(seed)
    found = mixtures(edges, {lot: lot for lot in origin_lots(edges)})
    assert all(is_same(found[lot], origin_shares(lot, edges)) for lot in range(60))


def test_kinds_of_one_name_count_together():
    edges = [
        (None, 1, 4, False, ""),
        (None, 2, 4, False, ""),
        (1, 3, 1, False, ""),
        (2, 3, 3, False, ""),
    ]
    assert mixtures(edges, {1: "same", 2: "same"})[3] == {"same": 1.0}


def test_a_lot_may_take_from_outside_and_from_a_lot():
    edges = [(None, 1, 4, False, ""), (None, 2, 1, False, ""), (1, 2, 3, False, "")]
    assert mixtures(edges, {1: "a", 2: "b"})[2] == {"b": 0.25, "a": 0.75}


def test_refuses_lots_that_go_round():
    with pytest.raises(Cycle):
        mixtures([(1, 2, 5, False, ""), (2, 1, 5, False, "")], {})


def test_mixtures_differ_by_what_one_of_them_lacks():
    assert not is_same({"a": 1.0}, {"a": 0.9, "b": 0.1})
