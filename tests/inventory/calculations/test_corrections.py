"""A bin told again step by step, and the checks on what was told; all on plain values."""

import pytest

from inventory.calculations.corrections import (
    FILL,
    Broken,
    Content,
    Flow,
    Holder,
    InBin,
    NewLot,
    Story,
    changed_places,
    check_lots,
)

BIN, OTHER = 7, 8
HOLDERS = {
    1: Holder("delivery", OTHER, "blue"),
    2: Holder("fill", BIN, "blue"),
    3: Holder("fill", BIN, "blue"),
    4: Holder("delivery", BIN, "blue"),
    9: Holder("charge", None, "blue"),
}


def moved(target, mg, source=1):
    return Flow(source, target, mg, "moved")


def loaded(mg, source):
    return Flow(source, 9, mg, "loaded")


def left(source, target, mg, uncertainty_ug=0):
    return Flow(source, target, mg, "remainder", basis="book", uncertainty_ug=uncertainty_ug)


def story(content=None, used=()):
    return Story(BIN, HOLDERS, content, set(used))


def test_what_was_left_at_a_topping_up_follows():
    """3 in, 1 out, topped up by 2: with 2.5 in, 1.5 were left."""
    told = story()
    told.tell(10, (moved(2, 25),))
    told.tell(11, (loaded(10, 2),))
    assert told.tell(12, (left(2, 3, 20), moved(3, 20))) == (left(2, 3, 15), moved(3, 20))
    assert (told.content.lot, told.content.held_mg) == (3, 35)


def test_what_was_left_is_known_as_well_as_what_made_it():
    told = story()
    told.tell(10, (moved(2, 25)._replace(uncertainty_ug=3),))
    told.tell(11, (loaded(10, 2)._replace(uncertainty_ug=4),))
    (rest, _moved) = told.tell(12, (left(2, 3, 20), moved(3, 20)))
    assert rest.uncertainty_ug == 5


def test_nothing_is_left_over_where_the_bin_was_emptied():
    told = story()
    told.tell(10, (moved(2, 20),))
    told.tell(11, (loaded(20, 2),))
    assert told.tell(12, (left(2, 3, 10), moved(3, 20))) == (moved(3, 20),)


def test_a_bin_gives_no_more_than_it_holds():
    told = story()
    told.tell(10, (moved(2, 20),))
    with pytest.raises(Broken) as broken:
        told.tell(11, (loaded(25, 2),))
    found = broken.value
    assert (found.code, found.lot, found.place, found.mass_mg) == ("short", InBin(BIN), 11, 5)


def test_what_is_led_here_goes_into_a_fill_that_still_fills():
    told = story(Content(2, 30), {2})
    assert told.tell(12, (moved(InBin(BIN), 5),), "blue") == (moved(2, 5),)


def test_what_is_led_here_after_it_gave_makes_a_new_lot_from_which_it_gives_on():
    told, new = story(Content(2, 30, 10), {2}), NewLot(FILL, 12, BIN)
    assert told.tell(12, (moved(InBin(BIN), 5),), "blue") == (left(2, new, 20), moved(new, 5))
    assert told.tell(13, (loaded(25, 2),)) == (loaded(25, new),)


def test_what_is_led_here_of_another_material_makes_a_new_lot():
    told, new = story(Content(2, 30), {2}), NewLot(FILL, 12, BIN)
    assert told.tell(12, (moved(InBin(BIN), 5),), "red") == (left(2, new, 30), moved(new, 5))


def test_more_of_the_same_tops_up_the_new_lot_as_it_topped_up_the_old_one():
    told, new = story(Content(2, 30, 10), {2}), NewLot(FILL, 12, BIN)
    told.tell(12, (moved(InBin(BIN), 5),), "blue")
    assert told.tell(13, (moved(2, 4),)) == (moved(new, 4),)


def test_a_delivery_takes_nothing_else():
    told = story(Content(2, 30), {2})
    with pytest.raises(Broken) as broken:
        told.tell(12, (Flow(None, 4, 5, "received"),))
    assert (broken.value.code, broken.value.mass_mg) == ("crowded", 30)


def test_what_is_told_the_same_is_not_told_anew():
    step = (left(2, 3, 20, uncertainty_ug=77), moved(3, 20))
    told = story(Content(2, 30, 10), {2})
    assert told.tell(12, step) == step
    assert changed_places({12: step}, {12: tuple(reversed(step))}) == []


def test_names_the_step_at_which_a_lot_runs_out():
    book = {1: (moved(9, 10),), 2: (loaded(6, 9),), 3: (loaded(6, 9),)}
    with pytest.raises(Broken) as broken:
        check_lots(
            [9],
            {place: (f._replace(target=None) if place > 1 else f,) for place, (f,) in book.items()},
        )
    assert (broken.value.code, broken.value.place, broken.value.mass_mg) == ("short", 3, 2)


def test_a_lot_that_gave_takes_nothing_more():
    book = {1: (moved(9, 10),), 2: (Flow(9, None, 6, "dust"),), 3: (moved(9, 10),)}
    with pytest.raises(Broken) as broken:
        check_lots([9], book)
    assert (broken.value.code, broken.value.place) == ("sealed", 3)
