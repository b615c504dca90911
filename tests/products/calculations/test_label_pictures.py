import pytest

from products.calculations.label_drawing import Qr, Text
from products.calculations.label_fonts import MONO
from products.calculations.label_geometry import SAMPLE_GRIDS, GridError
from products.calculations.label_pictures import picture
from tests.factories.labels import BIN, KINDS, LONGEST, PART, make_label

grids = pytest.mark.parametrize("grid", SAMPLE_GRIDS, ids=lambda grid: grid.name)


def drawn(label, grid, **kwargs):
    return picture(label, grid.label_width_mm, grid.label_height_mm, **kwargs)


def texts(made):
    return [item for item in made.items if isinstance(item, Text)]


def code_of(made):
    return [text.text for text in texts(made) if text.face == MONO]


def size_of(made, said):
    return max(text.size_mm for text in texts(made) if text.text == said)


@grids
@pytest.mark.parametrize("label", [*KINDS.values(), LONGEST], ids=lambda label: label.kind)
def test_the_code_is_always_whole_and_in_groups_of_four(label, grid):
    assert " ".join(code_of(drawn(label, grid))) == label.groups


@pytest.mark.parametrize("kind", KINDS)
def test_a_usual_label_leaves_nothing_out_on_a_usual_sheet(kind):
    made = drawn(KINDS[kind], SAMPLE_GRIDS[0])
    assert made.cut == ()
    assert set(made.left_out) <= {"address", "line"}


@grids
def test_a_usual_label_always_says_its_name_and_mark(grid):
    said = [text.text for text in texts(drawn(PART, grid))]
    assert {"Stool, small", ">PP<"} <= set(said)


@grids
def test_the_longest_label_says_what_was_cut_or_left_out(grid):
    made = drawn(LONGEST, grid)
    assert "strip" in {*made.cut, *made.left_out}


def test_a_label_with_little_to_say_says_it_large():
    little = make_label(kind="Bin", title="White flake 3")
    assert size_of(drawn(little, SAMPLE_GRIDS[1]), "White flake 3") > 5
    assert size_of(drawn(little, SAMPLE_GRIDS[1]), "White flake 3") >= size_of(
        drawn(BIN, SAMPLE_GRIDS[1]), "White flake 3"
    )


def test_the_code_to_read_is_legible_at_arms_length():
    """Common practice: capitals of 1/200 of the distance, 3 mm for 0.6 m."""
    made = drawn(PART, SAMPLE_GRIDS[3])
    assert 0.7 * size_of(made, "30QJ") >= 3


def test_says_nothing_of_modules_that_print_well():
    assert drawn(PART, SAMPLE_GRIDS[0]).notes == ()


def test_notes_a_label_whose_modules_are_too_small():
    (note,) = drawn(PART, SAMPLE_GRIDS[2]).notes
    assert note.code == "module-size"
    assert note.value < 0.5


@pytest.mark.parametrize(("side", "left"), [("left", True), ("right", False)])
def test_the_square_code_stands_at_the_side_that_is_asked_for(side, left):
    made = drawn(PART, SAMPLE_GRIDS[3], code_side=side)
    (square,) = (item for item in made.items if isinstance(item, Qr))
    assert (square.x_mm < 57 / 2 - square.side_mm / 2) is left


def test_a_tall_label_has_the_square_code_on_top():
    made = drawn(PART, SAMPLE_GRIDS[5])
    (square,) = (item for item in made.items if isinstance(item, Qr))
    assert all(text.y_mm > square.y_mm + square.side_mm for text in texts(made))


def test_refuses_a_label_too_small_to_say_anything():
    with pytest.raises(GridError) as refusal:
        picture(PART, 14, 14)
    assert refusal.value.code == "label-small"


@pytest.mark.parametrize("side_mm", [15, 20])
def test_the_smallest_label_still_carries_both_codes(side_mm):
    made = picture(LONGEST, side_mm, side_mm)
    assert " ".join(code_of(made)) == LONGEST.groups
