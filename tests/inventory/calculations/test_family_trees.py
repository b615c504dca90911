"""The picture of a trace: boxes apart, lines as wide as their mass, returns told apart."""

from itertools import combinations

from inventory.calculations.family_trees import (
    BOX_HEIGHT,
    BOX_WIDTH,
    THINNEST,
    WIDEST,
    family_tree,
)

EDGES = [(None, 1, 100), (None, 2, 50), (1, 3, 80), (2, 3, 40), (3, 4, 60), (3, 5, 60), (5, 6, 60)]
ORDER = [1, 2, 3, 4, 5, 6]


def tree(groups=None):
    return family_tree(EDGES, groups or {}, order=ORDER)


def test_each_lot_has_a_box_and_what_came_from_outside_no_line():
    assert {box.key for box in tree().boxes} == set(ORDER)
    assert {(line.source, line.target) for line in tree().lines} == {
        (1, 3),
        (2, 3),
        (3, 4),
        (3, 5),
        (5, 6),
    }


def test_no_box_stands_on_another():
    for one, other in combinations(tree().boxes, 2):
        assert abs(one.x - other.x) >= BOX_WIDTH or abs(one.y - other.y) >= BOX_HEIGHT


def test_a_line_is_as_wide_as_its_mass():
    width = {(line.source, line.target): line.width for line in tree().lines}
    assert width[1, 3] == WIDEST
    assert width[2, 3] == WIDEST / 2


def test_the_thinnest_line_is_still_seen():
    thin = family_tree([(1, 2, 10**9), (3, 2, 1)], {}, order=[1, 3, 2])
    assert min(line.width for line in thin.lines) == THINNEST


def test_lots_taken_together_share_a_box_and_their_lines_are_summed():
    found = tree({4: "bin", 5: "bin"})
    assert [box.members for box in found.boxes if box.key == "bin"] == [(4, 5)]
    (line,) = [line for line in found.lines if line.target == "bin"]
    assert line.mass_mg == 120


def test_what_leads_back_into_an_earlier_group_is_a_return():
    found = tree({1: "bin", 6: "bin"})
    assert [(line.source, line.target) for line in found.lines if line.is_return] == [(5, "bin")]


def test_everything_is_inside_the_picture():
    found = tree()
    assert all(box.x + BOX_WIDTH <= found.width for box in found.boxes)
    assert all(box.y + BOX_HEIGHT <= found.height for box in found.boxes)
