"""The diffusivity that a measured cycle says, against worked figures and the way back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from products.calculations.calculators import Impossible
from workshop.calculations.cooling import Band, Body, cooling
from workshop.calculations.diffusivities import CALIBRATION, effective_diffusivity


@pytest.mark.parametrize(("average", "seconds"), [(False, 14.377), (True, 10.259)])
def test_a_plate_of_3_mm(average, seconds):
    """Worked by the full series and by finite differences for 1.0e-7 m2/s: 14.377 and 10.259 s."""
    found = effective_diffusivity(seconds=seconds, thickness_mm=3, theta=50 / 190, average=average)
    assert found == pytest.approx(1.0, abs=2e-4)


@given(st.floats(0.3, 3), st.floats(0.5, 50), st.floats(0.05, 0.9))
def test_it_is_the_way_back_from_a_cooling_time(alpha, thickness_mm, theta):
    time = cooling(Body("plate", thickness_mm), theta=theta, diffusivity=Band(alpha, alpha, alpha))
    found = effective_diffusivity(seconds=time.centre.usual, thickness_mm=thickness_mm, theta=theta)
    assert found == pytest.approx(alpha, rel=1e-9)


def test_half_the_time_says_twice_the_diffusivity():
    slow, fast = (effective_diffusivity(seconds=s, thickness_mm=10, theta=0.3) for s in (400, 200))
    assert fast == pytest.approx(2 * slow)


def test_an_end_next_to_the_start_says_nothing():
    with pytest.raises(Impossible, match="hardly-begun"):
        effective_diffusivity(seconds=100, thickness_mm=3, theta=0.99, average=True)


@pytest.mark.parametrize(
    ("seconds", "code"), [(14.377, "inside"), (3, "outside"), (200, "outside")]
)
def test_it_is_held_against_the_band_of_the_polymer(seconds, code):
    sent = {"seconds": seconds, "thickness_mm": 3, "start_c": 220, "face_c": 30, "end_c": 80}
    answer = CALIBRATION.answer(sent | {"slow": 0.9, "fast": 2.0})
    assert [note.code for note in answer.notes] == [code]
