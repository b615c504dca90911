"""Keys that were met, held against a set of Python."""

import sys

from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.seen_keys import SeenKeys


@given(st.lists(st.integers(0, 5_000)))
def test_it_remembers_as_a_set_does(keys):
    seen, before = SeenKeys(), set()
    for key in keys:
        assert seen.is_new(key) == (key not in before)
        before.add(key)


def test_a_million_keys_take_little_room():
    seen = SeenKeys()
    seen.is_new(1_000_000)
    assert sys.getsizeof(seen.octets) < 200_000
