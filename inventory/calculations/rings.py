"""Whether a great graph goes round, told in little memory.

`traces.find_cycle` keeps every edge as a tuple and names the ring; over a whole ledger that
is too much to hold. Here an edge takes sixteen bytes, and what comes back is only
the lots that no order can be found for: those on a ring and those behind one.
"""

from array import array
from collections.abc import Iterable
from itertools import accumulate


def tangled_lots(edges: Iterable[tuple[int, int]], highest: int) -> list[int]:
    """Return the lots that lie on a ring or behind one, empty when the graph has no ring.

    `edges` are (source, target) pairs of keys from 1 to `highest`, in order of their sources
    (Kahn's algorithm). Takes time and memory in proportion to edges and keys.

    >>> tangled_lots([(1, 2), (2, 3)], 3)
    []
    >>> tangled_lots([(1, 2), (2, 3), (3, 2), (3, 4)], 4)
    [2, 3, 4]
    """
    counts, targets = array("q", bytes(8 * (highest + 2))), array("q")
    waits = array("q", bytes(8 * (highest + 1)))
    for source, target in edges:
        counts[source + 1] += 1
        waits[target] += 1
        targets.append(target)
    first = array("q", accumulate(counts))  # where the targets of each source begin
    free = [lot for lot in range(1, highest + 1) if not waits[lot]]
    while free:
        lot = free.pop()
        for place in range(first[lot], first[lot + 1]):
            target = targets[place]
            waits[target] -= 1
            if not waits[target]:
                free.append(target)
    return [lot for lot, left in enumerate(waits) if left]
