"""Crossings of our drawings beside those of graphviz: python -m tests.benchmarks.crossings

Graphviz draws curves; its crossings are counted on them, cut into short straight pieces.
Debian's package `graphviz` brings `dot`.
"""

import subprocess
from itertools import combinations
from time import process_time

from inventory.calculations.layouts import layered
from tests.inventory.calculations.test_layouts import DRAWN_BY_DOT, family

PIECES = 8


def drawn_by_dot(nodes, edges) -> list[list[tuple[float, float]]]:
    """Return the lines that dot draws, as points."""
    body = "; ".join([*map(str, nodes), *(f"{a} -> {b}" for a, b in edges)])
    graph = f"digraph {{ rankdir=LR; node [shape=point, width=0.05]; {body} }}"
    answer = subprocess.run(
        ["dot", "-Tplain"], input=graph, text=True, capture_output=True, check=True
    )
    rows = [line.split() for line in answer.stdout.splitlines()]
    spots = {row[1]: (float(row[2]), float(row[3])) for row in rows if row[0] == "node"}
    lines = []
    for row in (row for row in rows if row[0] == "edge"):
        numbers = [float(text) for text in row[4 : 4 + 2 * int(row[3])]]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        lines.append([spots[row[1]], *curve(points), spots[row[2]]])
    return lines


def curve(points):
    """Return points along cubic curves of which each takes three points more."""
    out = [points[0]]
    for start in range(0, len(points) - 3, 3):
        a, b, c, d = points[start : start + 4]
        for piece in range(1, PIECES + 1):
            t = piece / PIECES
            u = 1 - t
            weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
            out.append(
                tuple(
                    sum(w * p[axis] for w, p in zip(weights, (a, b, c, d), strict=True))
                    for axis in (0, 1)
                )
            )
    return out


def cross(p, q, a, b) -> bool:
    """Return whether two straight pieces cross inside."""

    def side(x, y, z):
        return (y[0] - x[0]) * (z[1] - x[1]) - (y[1] - x[1]) * (z[0] - x[0])

    return side(p, q, a) * side(p, q, b) < 0 and side(a, b, p) * side(a, b, q) < 0


def crossings(lines) -> int:
    """Return how often lines cross away from their shared ends."""
    pieces = [list(zip(line, line[1:], strict=False)) for line in lines]
    return sum(
        cross(*s, *t)
        for one, other in combinations(pieces, 2)
        for s in one
        for t in other
        if not {*s} & {*t} and max(s[0][0], s[1][0]) >= min(t[0][0], t[1][0])
    )


if __name__ == "__main__":
    for graph in DRAWN_BY_DOT:
        nodes, edges = family(*graph)
        began = process_time()
        ours = layered(nodes, edges).crossings
        took = process_time() - began
        print(graph, "ours", ours, f"{took:.2f} s", "dot", crossings(drawn_by_dot(nodes, edges)))  # noqa: T201
