"""Where the boxes and lines of a family tree of lots stand: a drawing in layers.

Every line runs from a layer to a later one. The layers are found by longest path, then
pulled together until no line gets shorter; a line over several layers gets a bend in
each; the order within the layers is improved by sweeps of means (K. Sugiyama, S. Tagawa,
M. Toda 1981) and by sifting: each member goes where its lines cross fewest others
(C. Matuszewski, R. Schonfeld, P. Molitor 1999). Both sources are named from memory.
The same input gives the same drawing.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

SWEEPS = 24
SIFT_EVERY = 6
SETTLINGS = 12
BEND = 0.3  # rows that a bend takes; a node takes one


@dataclass(frozen=True)
class Drawing:
    """Layer (whole) and place (from 0, any number) of each node, and the bends of each line.

    A line is the list of its points from its first node to its last, both included.
    """

    spots: dict[Hashable, tuple[int, float]]
    lines: list[list[tuple[int, float]]]
    crossings: int


@dataclass
class _Layers:
    """Nodes and bends in layers, and who is joined to whom in the layer before and after."""

    order: list[list]
    before: dict = field(default_factory=lambda: defaultdict(list))
    after: dict = field(default_factory=lambda: defaultdict(list))


def layered(nodes: Sequence[Hashable], edges: Sequence[tuple[Hashable, Hashable]]) -> Drawing:
    """Return a drawing of a graph without rings; `edges` lead from earlier nodes to later ones.

    Raises ValueError for a ring, KeyError for an edge to a node that is not named.

    >>> layered("ab", [("a", "b")]).spots
    {'a': (0, 0.0), 'b': (1, 0.0)}
    """
    layer_of = layers_of(nodes, edges)
    layers, chains = _bent(nodes, edges, layer_of)
    _untangle(layers)
    places = _settled(layers)
    return Drawing(
        spots={node: (layer_of[node], places[node]) for node in nodes},
        lines=[
            [(layer_of[chain[0]] + step, places[each]) for step, each in enumerate(chain)]
            for chain in chains
        ],
        crossings=_crossings(layers),
    )


def layers_of(nodes: Sequence[Hashable], edges) -> dict[Hashable, int]:
    """Return the layer of each node: after all it comes from, where the lines to it are short.

    >>> layers_of("abc", [("a", "c"), ("b", "c")])
    {'a': 0, 'b': 0, 'c': 1}
    """
    comes_from, goes_to = {node: [] for node in nodes}, {node: [] for node in nodes}
    for source, target in edges:
        comes_from[target].append(source)
        goes_to[source].append(target)
    order = _in_order(comes_from, goes_to)
    layer = {}
    for node in order:
        layer[node] = max((layer[source] + 1 for source in comes_from[node]), default=0)
    surplus = {node: len(goes_to[node]) - len(comes_from[node]) for node in order}
    ways, last = ((goes_to, 1), (comes_from, -1)), max(layer.values(), default=0)
    while any([_pulled(node, layer, way, surplus, last) for node in order for way in ways]):
        pass
    first = min(layer.values(), default=0)
    return {node: layer[node] - first for node in nodes}


def _in_order(comes_from: dict, goes_to: dict) -> list:
    """Return the nodes, each after all that it comes from."""
    waiting = {node: len(sources) for node, sources in comes_from.items()}
    order = [node for node in waiting if not waiting[node]]
    for node in order:  # grows while it is read
        for target in goes_to[node]:
            waiting[target] -= 1
            if not waiting[target]:
                order.append(target)
    if len(order) < len(waiting):
        raise ValueError("ring")
    return order


def _pulled(node, layer: dict, way: tuple[dict, int], surplus: dict, last: int) -> bool:
    """Move a node on (1) or back (-1), and with it what stands in its way, for as long as lines get shorter."""
    (ends, step), at = way, layer[node]
    while True:
        moving = _moving(node, layer, ends, step)
        shorter = step * sum(surplus[one] for one in moving)  # lines between them cancel out
        if shorter <= 0 or not all(0 <= layer[one] + step <= last for one in moving):
            return layer[node] != at
        for one in moving:
            layer[one] += step


def _moving(node, layer: dict, ends: dict, step: int) -> set:
    """Return a node and what stands in its way one layer on (1) or back (-1), so that they move together."""
    moving, front = {node}, [node]
    while front:
        one = front.pop()
        beside = layer[one] + step
        for each in ends[one]:
            if each not in moving and layer[each] == beside:
                moving.add(each)
                front.append(each)
    return moving


def _bent(nodes, edges, layer_of) -> tuple[_Layers, list[list]]:
    """Return the layers with a bend wherever a line passes one, and the chain of each line."""
    layers = _Layers([[] for _ in range(max(layer_of.values(), default=-1) + 1)])
    for node in nodes:
        layers.order[layer_of[node]].append(node)
    chains = []
    for number, (source, target) in enumerate(edges):
        between = range(layer_of[source] + 1, layer_of[target])
        bends = [("bend", number, layer) for layer in between]
        for layer, bend in zip(between, bends, strict=True):
            layers.order[layer].append(bend)
        chain = [source, *bends, target]
        chains.append(chain)
        for one, other in zip(chain, chain[1:], strict=False):
            layers.after[one].append(other)
            layers.before[other].append(one)
    return layers, chains


def _untangle(layers: _Layers) -> None:
    """Order each layer so that few lines cross; the best of three starts is kept."""
    best, least = None, None
    given = [list(layer) for layer in layers.order]
    ahead, back = _walked(layers, layers.after), _walked(layers, layers.before, backwards=True)
    for start in (given, ahead, back):
        layers.order = start
        found, count = _swept(layers)
        if least is None or count < least:
            best, least = found, count
    layers.order = best


def _walked(layers: _Layers, steps, *, backwards: bool = False) -> list[list]:
    """Return each layer in the order in which a walk in depth comes to its members."""
    rank, seen = {}, set()
    ends = [node for layer in (layers.order[::-1] if backwards else layers.order) for node in layer]
    for end in ends:
        stack = [end]
        while stack:
            node = stack.pop()
            if node not in seen:
                seen.add(node)
                rank[node] = len(rank)
                stack.extend(reversed(steps[node]))
    return [sorted(layer, key=rank.__getitem__) for layer in layers.order]


def _swept(layers: _Layers) -> tuple[list[list], int]:
    """Return the best order that sweeps of means come to, sifted until that saves nothing, and its crossings."""
    best, least = [list(layer) for layer in layers.order], _crossings(layers)
    for sweep in range(SWEEPS):
        _sort_by_means(layers, forward=sweep % 2 == 0)
        if sweep % SIFT_EVERY == SIFT_EVERY - 1:
            _sift(layers)
        count = _crossings(layers)
        if count < least:
            best, least = [list(layer) for layer in layers.order], count
    layers.order = [list(layer) for layer in best]
    for _ in range(SWEEPS):
        if not _sift(layers):
            break
    return layers.order, _crossings(layers)


def _sort_by_means(layers: _Layers, *, forward: bool) -> None:
    """Sort each layer by the mean place of what its members are joined to in the layer before or after."""
    joined = layers.before if forward else layers.after
    numbers = range(1, len(layers.order)) if forward else range(len(layers.order) - 2, -1, -1)
    for number in numbers:
        place = {
            node: at for at, node in enumerate(layers.order[number - 1 if forward else number + 1])
        }
        own = {node: at for at, node in enumerate(layers.order[number])}
        mean = {node: _mean([place[each] for each in joined[node]], own[node]) for node in own}
        layers.order[number].sort(key=lambda node: (mean[node], own[node]))  # noqa: B023


def _mean(places: list[int], own: int) -> float:
    """Return the mean of some places; with nothing joined its own."""
    return sum(places) / len(places) if places else own


def _sift(layers: _Layers) -> int:
    """Move each member of each layer to the place in it where its lines cross fewest others; return the saving."""
    saved = 0
    for number, layer in enumerate(layers.order):
        ends = _ends(layers, number)
        for node in list(layer):
            at = layer.index(node)
            left = _best_step(ends, node, layer[at - 1 :: -1] if at else [], is_left=True)
            right = _best_step(ends, node, layer[at + 1 :], is_left=False)
            steps = -left[1] if left > right else right[1]
            if gain := max(left, right)[0]:
                layer.insert(at + steps, layer.pop(at))
                saved += gain
    return saved


def _ends(layers: _Layers, number: int) -> dict:
    """Return for each member of a layer the sorted places of what it is joined to, on either side."""
    ends = {node: [] for node in layers.order[number]}
    for joined, beside in ((layers.before, number - 1), (layers.after, number + 1)):
        if 0 <= beside < len(layers.order):
            place = {node: at for at, node in enumerate(layers.order[beside])}
            for node, sides in ends.items():
                sides.append(sorted(place[each] for each in joined[node]))
    return ends


def _best_step(ends: dict, node, others: list, *, is_left: bool) -> tuple[int, int]:
    """Return the most crossings saved by passing some of the others in turn, and how many are passed."""
    gain, best = 0, (0, 0)
    for steps, other in enumerate(others, start=1):
        for own, theirs in zip(ends[node], ends[other], strict=True):
            if own and theirs:
                gain += _saving(theirs, own) if is_left else _saving(own, theirs)
        if gain > best[0]:
            best = (gain, steps)
    return best


def _saving(before: list[int], after: list[int]) -> int:
    """Return how many crossings are saved when two members of a layer change places; both have ends."""
    if before[-1] < after[0]:
        return -len(before) * len(after)
    if after[-1] < before[0]:
        return len(before) * len(after)
    return _inversions(before, after) - _inversions(after, before)


def _inversions(first: list[int], second: list[int]) -> int:
    """Return how often lines cross when the one with the first ends stands before the other."""
    return sum(bisect_left(second, end) for end in first)


def _crossings(layers: _Layers) -> int:
    """Return how often lines cross between neighbouring layers."""
    count = 0
    for first, second in zip(layers.order, layers.order[1:], strict=False):
        place = {node: at for at, node in enumerate(second)}
        passed = []
        for node in first:
            ends = sorted(place[each] for each in layers.after[node])
            count += sum(len(passed) - bisect_left(passed, end + 1) for end in ends)
            passed = sorted(passed + ends)
    return count


def _settled(layers: _Layers) -> dict:
    """Return the place of each node and bend: in order, far enough apart, near what it is joined to."""
    places = {}
    steps = [_steps(layer) for layer in layers.order]
    for layer, own in zip(layers.order, steps, strict=True):
        places |= dict(zip(layer, own, strict=True))
    for turn in range(SETTLINGS):
        joined = layers.before if turn % 2 == 0 else layers.after
        pairs = list(zip(layers.order, steps, strict=True))
        for layer, own in pairs if turn % 2 == 0 else pairs[::-1]:
            wishes = [_wish(places, joined[node], places[node]) for node in layer]
            places |= dict(zip(layer, _apart(wishes, own), strict=True))
    least = min(places.values(), default=0.0)
    return {node: place - least for node, place in places.items()}


def _wish(places: dict, joined: list, own: float) -> float:
    return sum(places[each] for each in joined) / len(joined) if joined else own


def _steps(layer: list) -> list[float]:
    """Return how far the members of a layer stand from its first one when they stand close."""
    sizes = [BEND if isinstance(node, tuple) and node[:1] == ("bend",) else 1.0 for node in layer]
    steps = [0.0]
    for size, following in zip(sizes, sizes[1:], strict=False):
        steps.append(steps[-1] + (size + following) / 2)
    return steps[: len(layer)]


def _apart(wishes: list[float], steps: list[float]) -> list[float]:
    """Return places as near the wishes as can be (least squares), in order and as far apart as the steps.

    >>> _apart([0.0, 0.0, 5.0], [0.0, 1.0, 2.0])
    [-0.5, 0.5, 5.0]
    """
    blocks = []  # [sum of wishes less their place in the block, how many]
    for step, wish in zip(steps, wishes, strict=True):
        blocks.append([wish - step, 1])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] > blocks[-1][0] / blocks[-1][1]:
            total, count = blocks.pop()
            blocks[-1][0] += total
            blocks[-1][1] += count
    placed = [total / count for total, count in blocks for _ in range(count)]
    return [place + step for place, step in zip(placed, steps, strict=True)]
