"""Usual ranges. The thickness of pressed sheets, 6 to 30 mm, is common practice."""

import pytest

from products.calculations.ranges import piece_mass_note, sheet_thickness_note, shot_time_note


@pytest.mark.parametrize("thickness_mm", [6, 12, 30])
def test_says_nothing_of_a_usual_sheet(thickness_mm):
    assert sheet_thickness_note(thickness_mm=thickness_mm) is None


@pytest.mark.parametrize("thickness_mm", [5.9, 30.1])
def test_notes_an_unusual_sheet_with_its_range(thickness_mm):
    note = sheet_thickness_note(thickness_mm=thickness_mm)
    assert (note.code, note.value, note.low, note.high) == (
        "sheet-thickness",
        thickness_mm,
        6,
        30,
    )


def test_a_couple_of_minutes_a_shot_is_usual():
    assert shot_time_note(minutes=50, pieces=100, pieces_per_cycle=4) is None


def test_notes_a_shot_that_took_seconds():
    assert shot_time_note(minutes=2, pieces=40, pieces_per_cycle=4).value == pytest.approx(0.2)


def test_a_part_filled_mould_counts_as_a_shot():
    note = shot_time_note(minutes=22, pieces=5, pieces_per_cycle=4)
    assert note.value == 11


def test_says_nothing_of_shots_without_pieces():
    assert shot_time_note(minutes=22, pieces=0, pieces_per_cycle=4) is None


@pytest.mark.parametrize("mass_mg", [1_600, 2_000, 2_400])
def test_a_piece_within_a_fifth_of_its_design_is_usual(mass_mg):
    assert piece_mass_note(mass_mg=mass_mg * 3, pieces=3, nominal_mg=2_000) is None


@pytest.mark.parametrize("mass_mg", [1_599, 2_401])
def test_notes_a_piece_more_than_a_fifth_off(mass_mg):
    note = piece_mass_note(mass_mg=mass_mg * 3, pieces=3, nominal_mg=2_000)
    assert (note.code, note.value) == ("piece-mass", mass_mg)
