"""Hollow against solid, by worked figures and by sections enlarged and reckoned anew."""

import pytest

from products.calculations.calculators import Impossible
from products.calculations.hollow import HOLLOW, compare, equally_stiff, sections_of
from products.calculations.sections import box, rectangle, rod, tube

SQUARE = compare(box(width_mm=40, height_mm=40, wall_mm=4), rectangle(width_mm=40, height_mm=40))
ASKED = {each.name: each.default for each in HOLLOW.inputs}
ASKED |= {"density_g_cm3": 0.955, "modulus_gpa": 1.0}


def codes(**changes):
    return [note.code for note in HOLLOW.answer(ASKED | changes).notes]


def test_a_box_of_40_by_4():
    """Worked by hand: 64 % lighter with 59 % of the stiffness."""
    assert SQUARE.saved_percent == pytest.approx(64)
    assert SQUARE.stiffness_percent == pytest.approx(59.04)
    assert SQUARE.strength_percent == pytest.approx(59.04)


def test_at_equal_stiffness_a_wall_of_a_tenth_saves_53_per_cent():
    """Worked by hand: the side grows by 1.1408 and the mass falls to 46.9 %."""
    found = equally_stiff(SQUARE)
    assert (found.factor, found.mass_percent) == pytest.approx((1.1408, 46.9), abs=0.05)


def test_the_same_factors_hold_for_a_tube_with_a_wall_of_a_tenth():
    round_one = compare(tube(diameter_mm=50, wall_mm=5), rod(diameter_mm=50))
    assert equally_stiff(round_one).factor == pytest.approx(equally_stiff(SQUARE).factor)


def test_enlarged_and_reckoned_anew_it_is_as_stiff_as_the_solid():
    found = equally_stiff(SQUARE)
    side = 40 * found.factor
    larger = box(width_mm=side, height_mm=side, wall_mm=side / 10)
    assert larger.second_moment_mm4 == pytest.approx(40**4 / 12)
    assert larger.area_mm2 == pytest.approx(1600 * found.mass_percent / 100)


def test_what_is_saved_in_mass_energy_and_money():
    values = HOLLOW.answer(ASKED | {"length_m": 10, "kwh_kg": 0.5, "price_kg": 2}).values
    assert values["solid_kg"] == pytest.approx(15.28)
    assert values["saved_kg"] == pytest.approx(15.28 * (1 - 0.46853), abs=2e-3)
    assert values["saved_kwh"] == pytest.approx(values["saved_kg"] / 2)
    assert values["saved_money"] == pytest.approx(values["saved_kg"] * 2)


def test_without_a_price_no_money_is_named():
    assert HOLLOW.answer(ASKED).values["saved_money"] is None


def test_a_plate_with_ribs_keeps_its_width_and_is_as_stiff_when_reckoned_anew():
    plate = {"width_mm": 200, "height_mm": 20}
    found = HOLLOW.answer(ASKED | {"shape": "ribs"} | plate).values
    k = found["factor"]
    larger = ASKED | {"width_mm": 200, "height_mm": 20 * k, "wall_mm": 4 * k}
    ribs, _solid = sections_of("ribs", larger | {"pitch_mm": 50 * k, "rib_mm": 5 * k})
    assert ribs.second_moment_mm4 == pytest.approx(200 * 20**3 / 12)
    assert ribs.area_mm2 == pytest.approx(200 * 20 * found["equal_mass_percent"] / 100)
    assert found["equal_width_mm"] == 200


@pytest.mark.parametrize(
    ("changes", "expected"),
    [({}, []), ({"wall_mm": 1}, ["thin"]), ({"modulus_gpa": 0.2}, ["creeps"])],
)
def test_what_is_unusual_is_noted(changes, expected):
    assert codes(**changes) == expected


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {"shape": "tube", "width_mm": 100},
            ["thin"],
        ),  # its height is not asked for and says nothing
        ({"shape": "tube", "width_mm": 80}, []),
        ({"width_mm": 200, "height_mm": 20}, ["thin"]),
        ({"shape": "ribs", "pitch_mm": 90}, ["thin"]),
        ({"shape": "ribs", "pitch_mm": 85}, []),
        ({"shape": "ribs", "rib_mm": 1, "wall_mm": 10}, ["thin"]),
    ],
)
def test_the_widest_wall_is_the_first_to_buckle(changes, expected):
    """A plate held at its edges buckles at a stress that falls with (thickness / width)2, the width being
    that between its edges (Timoshenko and Gere, Theory of Elastic Stability; from memory)."""
    assert [code for code in codes(**changes) if code == "thin"] == expected


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"wall_mm": 20}, "wall"),
        ({"shape": "ribs", "wall_mm": 40}, "plate"),
        ({"shape": "ribs", "rib_mm": 50}, "ribs"),
    ],
)
def test_what_leaves_no_hollow_is_refused(changes, code):
    with pytest.raises(Impossible) as refused:
        HOLLOW.answer(ASKED | changes)
    assert refused.value.code == code
