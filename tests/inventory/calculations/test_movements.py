"""What a posting moved, mended."""

from inventory.calculations.corrections import Flow, InBin
from inventory.calculations.movements import (
    Mending,
    mended,
    moved_mg,
    moving,
    part_anew,
)

TOPPED = (Flow(1, 2, 40, "remainder"), Flow(3, 2, 10, "moved"))
PARTS = tuple(Flow(5, part, 10, "part", melted=True) for part in (11, 12, 13))
WORN = (Flow(11, 5, 9, "loaded"), Flow(11, None, 1, "loss"))
OVER = (Flow(5, 2, 10, "leftover"), Flow(8, 2, 3, "difference"), Flow(None, 8, 3, "difference"))
ALL = Flow(11, 5, 6, "loaded", basis="book")
FOUND = (Flow(None, 8, 3, "count"), Flow(8, 2, 3, "count"))


def masses(flows):
    return [(f.role, f.mass_mg) for f in flows]


def weighing(mass_mg, book):
    """The book of a part that turns out to weigh so much."""
    return book | {1: (book[1][0]._replace(mass_mg=mass_mg),)}


def test_only_what_somebody_meant_moves():
    assert moving(TOPPED) == [TOPPED[1]]
    assert moving((Flow(5, None, 4, "loss"),)) == moving((Flow(5, 6, 4, "carried"),)) == []


def test_a_mended_mass_leaves_what_follows_to_the_story():
    assert masses(mended(TOPPED, Mending(mass_mg=7))) == [("remainder", 40), ("moved", 7)]


def test_pieces_weighed_together_share_the_mended_mass_and_its_uncertainty():
    told = mended(PARTS, Mending(mass_mg=32, basis="weighed", scale=4, uncertainty_ug=10))
    assert [f.mass_mg for f in told] == [11, 11, 10]
    assert {(f.basis, f.scale, f.uncertainty_ug) for f in told} == {("weighed", 4, 6)}


def test_a_worn_part_has_lost_what_the_mended_load_leaves_of_it():
    assert masses(mended(WORN, Mending(mass_mg=7))) == [("loss", 3), ("loaded", 7)]
    assert masses(mended(WORN, Mending(mass_mg=10))) == [("loaded", 10)]


def test_another_part_loaded_by_the_book_is_loaded_as_what_it_weighs():
    other = Mending(source=12, share_mg=8)
    assert mended((ALL,), other) == (ALL._replace(source=12, mass_mg=8),)
    worn = Flow(12, None, 2, "loss", basis="book")
    typed = ALL._replace(basis="typed")
    assert mended((typed,), other) == (worn, typed._replace(source=12))
    assert mended(WORN, Mending(mass_mg=9, source=12, share_mg=9))[0][:3] == (12, 5, 9)


def test_what_a_worn_part_had_lost_follows_when_the_part_was_lighter():
    before = {1: (Flow(5, 11, 10, "part"),), 2: WORN}
    assert part_anew(11, before, weighing(9, before)) == {2: (WORN[0],)}
    lost = WORN[1]._replace(mass_mg=3, basis="book")
    assert part_anew(11, before, weighing(12, before)) == {2: (WORN[0], lost)}


def test_a_part_lighter_than_what_was_loaded_of_it_is_left_to_the_checks():
    before = {1: (Flow(5, 11, 10, "part"),), 2: WORN}
    assert part_anew(11, before, weighing(8, before)) == {2: (WORN[0],)}


def test_a_worn_piece_of_a_bag_lost_no_more_than_its_share():
    before = {1: (Flow(5, 11, 50, "part"),), 2: WORN}
    lost = WORN[1]._replace(mass_mg=2, basis="book")
    assert part_anew(11, before, weighing(55, before)) == {2: (WORN[0], lost)}


def test_what_was_loaded_of_a_part_by_the_book_is_what_it_turns_out_to_weigh():
    before = {1: (Flow(5, 11, 10, "part"),), 2: (ALL._replace(mass_mg=4),), 3: (ALL,)}
    now = part_anew(11, before, weighing(15, before))
    assert now == {2: (ALL._replace(mass_mg=6),), 3: (ALL._replace(mass_mg=9),)}
    now = part_anew(11, before, weighing(11, before))
    assert now == {3: (ALL._replace(mass_mg=7),)}  # 4.4 and 6.6: the last takes what is left


def test_what_was_loaded_of_a_part_and_turns_out_lighter_was_worn_away():
    before = {1: (Flow(5, 11, 6, "part"),), 2: (ALL,)}
    typed = ALL._replace(mass_mg=5, basis="typed")
    worn = Flow(11, None, 1, "loss", basis="book")
    assert part_anew(11, before, before | {2: (typed,)}) == {2: (typed, worn)}


def test_nothing_makes_room_for_what_was_loaded_of_a_part_in_excess():
    before = {1: (Flow(5, 11, 12, "part"),), 2: (ALL,), 3: (ALL,)}
    more = {2: (ALL._replace(mass_mg=7, basis="typed"),)}
    assert part_anew(11, before, before | more) == {}
    assert part_anew(11, before, before | {4: (ALL._replace(mass_mg=1),)}) == {}


def test_what_was_thrown_away_of_a_part_stays_as_it_was_typed():
    thrown = Flow(11, None, 4, "disposed")
    before = {1: (Flow(5, 11, 10, "part"),), 2: (thrown,), 3: (ALL,)}
    assert part_anew(11, before, weighing(15, before)) == {3: (ALL._replace(mass_mg=11),)}


def test_what_only_the_scale_found_is_the_charge_s_again_when_its_yield_is_mended():
    assert moved_mg(OVER) == 13
    assert masses(mended(OVER, Mending(mass_mg=12))) == [("leftover", 12)]


def test_what_only_the_scale_found_goes_along_into_another_bin():
    told = mended(OVER, Mending(target=InBin(7)))
    assert [f.target for f in told] == [InBin(7), 8, InBin(7)]


def test_both_halves_of_what_a_count_found_are_mended():
    assert moved_mg(FOUND) == 3
    assert masses(mended(FOUND, Mending(mass_mg=2))) == [("count", 2), ("count", 2)]


def test_nothing_is_topped_up_where_nothing_came():
    assert mended(TOPPED, Mending(target=InBin(7))) == (TOPPED[1]._replace(target=InBin(7)),)


def test_pieces_of_a_bag_keep_their_share_of_what_it_turns_out_to_weigh():
    gave = (Flow(11, 12, 33, "pieces", basis="book"),)
    before = {1: (Flow(5, 11, 100, "part"),), 2: gave}
    after = weighing(50, before)
    assert part_anew(11, before, after) == {2: (gave[0]._replace(mass_mg=17),)}  # 16.5, half up
    assert part_anew(11, before, before) == {}
    assert part_anew(11, before, before | {1: ()}) == {}


def test_what_a_bag_gave_follows_and_is_moved_by_nobody():
    assert moving((Flow(11, 12, 33, "pieces"),)) == []
