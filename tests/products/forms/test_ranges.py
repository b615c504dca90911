"""Range notes in words."""

from products.calculations.ranges import piece_mass_note, sheet_thickness_note, shot_time_note
from products.forms.ranges import sentence_of


def test_a_thin_sheet_is_said_with_the_usual_range():
    said = sentence_of(sheet_thickness_note(thickness_mm=4))
    assert said == (
        "Pressed sheets are usually 6 to 30 mm thick (common practice); this one is 4 mm."
    )


def test_a_light_piece_is_said_in_the_unit_that_reads_best():
    note = piece_mass_note(mass_mg=900_000, pieces=3, nominal_mg=700_000)
    assert sentence_of(note).startswith("Each piece weighs 300 g, more than 20\u00a0% off")


def test_a_slow_shot_is_said_in_minutes():
    note = shot_time_note(minutes=60, pieces=4, pieces_per_cycle=4)
    assert "60 minutes" in sentence_of(note)
