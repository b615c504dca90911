"""Colour differences against the published pairs, and sRGB against known values."""

import pytest

from products.calculations.calculators import Impossible
from workshop.calculations.colours import (
    COLOUR,
    ciede2000,
    from_light,
    hex_of,
    lab_of,
    mixed_rgb,
    rgb_of,
    to_light,
)

# Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21-30, table 1: L a b, L a b, difference.
PAIRS = """
50 2.6772 -79.7751 50 0 -82.7485 2.0425
50 3.1571 -77.2803 50 0 -82.7485 2.8615
50 2.8361 -74.0200 50 0 -82.7485 3.4412
50 -1.3802 -84.2814 50 0 -82.7485 1.0000
50 -1.1848 -84.8006 50 0 -82.7485 1.0000
50 -0.9009 -85.5211 50 0 -82.7485 1.0000
50 0 0 50 -1 2 2.3669
50 -1 2 50 0 0 2.3669
50 2.49 -0.001 50 -2.49 0.0009 7.1792
50 2.49 -0.001 50 -2.49 0.0010 7.1792
50 2.49 -0.001 50 -2.49 0.0011 7.2195
50 2.5 0 50 3.1736 0.5854 1.0000
50 2.5 0 50 3.2972 0 1.0000
50 2.5 0 50 1.8634 0.5757 1.0000
50 2.5 0 50 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
"""
ROWS = [tuple(map(float, line.split())) for line in PAIRS.strip().splitlines()]
ASKED = {each.name: each.default for each in COLOUR.inputs}


@pytest.mark.parametrize("row", ROWS)
def test_the_published_pairs(row):
    assert ciede2000(row[:3], row[3:6]) == pytest.approx(row[6], abs=1e-4)
    assert ciede2000(row[3:6], row[:3]) == pytest.approx(row[6], abs=1e-4)


@pytest.mark.parametrize(
    ("srgb", "lab"),
    [
        ("#ff0000", (53.24, 80.09, 67.20)),
        ("#00ff00", (87.73, -86.18, 83.18)),
        ("#0000ff", (32.30, 79.19, -107.86)),
        ("#000000", (0, 0, 0)),
    ],
)
def test_the_corners_of_srgb(srgb, lab):
    """Common table values of the sRGB primaries in CIELAB, D65 (from memory of IEC 61966-2-1 and CIE 15)."""
    assert lab_of(rgb_of(srgb, "")) == pytest.approx(lab, abs=0.01)


@pytest.mark.parametrize("value", [0, 0.02, 0.04045, 0.3, 1])
def test_light_and_back(value):
    assert from_light(to_light(value)) == pytest.approx(value, abs=1e-6)


def test_half_black_and_half_white_is_lighter_than_the_middle_value():
    assert hex_of(mixed_rgb([(1, (1, 1, 1)), (1, (0, 0, 0))])) == "#bcbcbc"


def test_a_colour_alone_stays_as_it_is():
    assert hex_of(mixed_rgb([(3, rgb_of("#2a68b0", ""))])) == "#2a68b0"


@pytest.mark.parametrize("text", ["", "blue", "#12345", "#1234567", "#12345g", "#+12345"])
def test_what_is_no_colour_is_refused_at_its_box(text):
    with pytest.raises(Impossible) as refused:
        COLOUR.answer(ASKED | {"srgb_2": text})
    assert (refused.value.code, refused.value.at) == ("no-colour", "srgb_2")


def test_no_mass_at_all_is_refused():
    with pytest.raises(Impossible) as refused:
        COLOUR.answer(ASKED | {"mass_1_kg": None, "mass_2_kg": None})
    assert refused.value.code == "nothing"


def test_a_mixture_is_marked_as_an_estimate():
    assert "estimate" in [note.code for note in COLOUR.answer(ASKED).notes]


def test_the_targets_own_colour_is_close():
    lab = dict(zip(("l", "a", "b"), lab_of(rgb_of("#2a68b0", "")), strict=True))
    asked = ASKED | {"mass_2_kg": None} | {f"target_{axis}": lab[axis] for axis in lab}
    found = COLOUR.answer(asked)
    assert found.values["difference"] == pytest.approx(0, abs=1e-9)
    assert [note.code for note in found.notes] == ["close"]
