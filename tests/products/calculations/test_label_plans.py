import pytest
from hypothesis import given
from hypothesis import strategies as st

from products.calculations.label_geometry import SAMPLE_GRIDS, GridError
from products.calculations.label_plans import plan
from products.calculations.qr_codes import module_size_mm

SIDES = st.floats(15, 250)


def corners(frame):
    return frame.x_mm, frame.y_mm, frame.x_mm + frame.width_mm, frame.y_mm + frame.height_mm


def apart(one, other):
    left, top, right, bottom = corners(one)
    x, y, to_x, to_y = corners(other)
    return right <= x + 1e-9 or to_x <= left + 1e-9 or bottom <= y + 1e-9 or to_y <= top + 1e-9


def inside(frame, width_mm, height_mm):
    left, top, right, bottom = corners(frame)
    return 0 < left < right < width_mm and 0 < top < bottom < height_mm


@given(SIDES, SIDES, st.sampled_from(["left", "right"]))
def test_code_text_and_foot_lie_inside_the_label_and_apart(width_mm, height_mm, code_side):
    planned = plan(width_mm, height_mm, 33, code_side=code_side)
    frames = [planned.square, planned.text, planned.foot or planned.text]
    assert all(inside(frame, width_mm, height_mm) for frame in frames)
    assert apart(planned.square, planned.text)
    assert apart(planned.square, planned.foot or planned.text)
    assert planned.foot is None or apart(planned.text, planned.foot)


@given(SIDES, SIDES)
def test_a_square_code_is_square(width_mm, height_mm):
    square = plan(width_mm, height_mm, 37).square
    assert square.width_mm == square.height_mm


@pytest.mark.parametrize("grid", [SAMPLE_GRIDS[0], SAMPLE_GRIDS[1], *SAMPLE_GRIDS[3:]])
@pytest.mark.parametrize("modules", [33, 37])
def test_on_usual_labels_modules_are_half_a_millimetre_or_more(grid, modules):
    """Denso Wave, module size guide: four dots a module at 200 dpi."""
    square = plan(grid.label_width_mm, grid.label_height_mm, modules).square
    assert module_size_mm(square.width_mm, modules) >= 0.5


def test_a_large_label_has_a_code_to_read_from_a_step_away():
    """Common practice: read from ten times the side, so 40 mm for 0.4 m."""
    square = plan(99.1, 67.7, 33).square
    assert square.width_mm * 33 / 41 >= 40


def test_the_code_to_read_makes_way_where_the_square_code_would_be_too_small():
    assert plan(57, 32, 33).foot is not None
    assert plan(38.1, 21.2, 33).foot is None


def test_the_square_code_may_stand_at_the_right():
    left, right = plan(57, 32, 33), plan(57, 32, 33, code_side="right")
    assert right.square.x_mm == pytest.approx(57 - left.square.x_mm - left.square.width_mm)
    assert right.text.width_mm == pytest.approx(left.text.width_mm)
    assert right.text.x_mm == pytest.approx(left.foot.x_mm)


@pytest.mark.parametrize(("width_mm", "height_mm"), [(14.9, 40), (40, 14.9), (float("nan"), 40)])
def test_refuses_a_label_too_small_to_say_anything(width_mm, height_mm):
    with pytest.raises(GridError) as refusal:
        plan(width_mm, height_mm, 33)
    assert refusal.value.code == "label-small"
