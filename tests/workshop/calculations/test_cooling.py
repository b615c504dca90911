"""Cooling times against worked figures, finite differences and the sense of the band."""

import numpy as np
import pytest

from products.calculations.calculators import Impossible
from workshop.calculations.cooling import Band, Body, body_of, cooling, share_left

PE = Band(usual=1.0, least=0.9, most=2.0)


def test_a_plate_of_3_mm():
    """Worked by the full series and by finite differences: 14.377 and 10.259 s."""
    found = cooling(Body("plate", 3), theta=50 / 190, diffusivity=PE)
    assert found.centre.usual == pytest.approx(14.377, abs=2e-3)
    assert found.average.usual == pytest.approx(10.259, abs=2e-3)


def test_a_bar_of_40_mm_into_water():
    """Worked by the series: 1085 and 510 s; the short forms give 1086 and 505."""
    found = cooling(body_of("bar", 40), theta=60 / 180, diffusivity=PE)
    assert found.centre.usual == pytest.approx(1085, abs=1)
    assert found.average.usual == pytest.approx(510, abs=1)
    assert found.short_centre_s == pytest.approx(1086, abs=1)


def test_a_band_is_as_wide_as_that_of_the_diffusivity():
    found = cooling(Body("plate", 3), theta=0.2, diffusivity=PE).centre
    assert found.least == pytest.approx(found.usual / 2)
    assert found.most == pytest.approx(found.usual / 0.9)


def test_twice_as_thick_takes_four_times_as_long():
    one, two = (cooling(Body("plate", s), theta=0.2, diffusivity=PE) for s in (5, 10))
    assert two.centre.usual == pytest.approx(4 * one.centre.usual)


def annulus_left(seconds, *, inner_mm, outer_mm, cells=60):
    """Finite differences of a tube cooled outside, its bore insulated: what is left at the bore."""
    edge = np.linspace(inner_mm, outer_mm, cells + 1)
    width = edge[1] - edge[0]
    volume = (edge[1:] ** 2 - edge[:-1] ** 2) / 2
    step = 0.2 * width**2 / 0.1  # mm2 over mm2/s, for 1e-7 m2/s
    theta = np.ones(cells)
    for _ in range(round(seconds / step)):
        flux = np.zeros(cells + 1)
        flux[1:-1] = edge[1:-1] * np.diff(theta) / width
        flux[-1] = -edge[-1] * theta[-1] * 2 / width
        theta = theta + step * 0.1 * np.diff(flux) / volume
    return theta[0]


@pytest.mark.parametrize("outer", [20, 55])
def test_a_tube_cooled_outside_is_reckoned_on_the_slow_side(outer):
    seconds = cooling(body_of("tube-outside", 5), theta=0.3, diffusivity=PE).centre.usual
    left = annulus_left(seconds, inner_mm=outer - 5, outer_mm=outer)
    assert 0.2 < left <= 0.3


@pytest.mark.parametrize(
    ("theta", "codes"), [(0.2, []), (0.97, ["short-off"])], ids=["late", "early"]
)
def test_a_short_formula_that_fails_is_noted(theta, codes):
    found = cooling(Body("plate", 3), theta=theta, diffusivity=PE)
    assert [note.code for note in found.notes] == codes


def test_a_long_time_is_noted():
    assert [n.code for n in cooling(body_of("bar", 40), theta=0.3, diffusivity=PE).notes] == [
        "long"
    ]


@pytest.mark.parametrize(
    ("start", "face", "end", "code"),
    [(200, 200, 100, "no-step"), (200, 30, 210, "not-between"), (200, 30, 20, "not-between")],
)
def test_temperatures_that_lead_nowhere_are_refused(start, face, end, code):
    with pytest.raises(Impossible) as refused:
        share_left(start_c=start, face_c=face, end_c=end)
    assert refused.value.code == code


@pytest.mark.parametrize(("theta", "code"), [(0.99999999, "hardly-begun")])
def test_a_step_that_has_hardly_begun_is_refused(theta, code):
    with pytest.raises(Impossible) as refused:
        cooling(Body("plate", 3), theta=theta, diffusivity=PE)
    assert refused.value.code == code


def test_a_band_out_of_order_is_refused():
    with pytest.raises(Impossible) as refused:
        cooling(Body("plate", 3), theta=0.2, diffusivity=Band(3, 1, 2))
    assert refused.value.code == "band-order"
