"""Text made to fit. Widths are held against FreeType, which Pillow draws with."""

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from inventory.calculations.codes import ALPHABET
from products.calculations.label_fonts import (
    ELLIPSIS,
    FILES,
    MONO,
    PLAIN,
    STRONG,
    clean,
    fit_text,
    unprintable,
    width_em,
)

TITLE = "Broken crates from the market hall of the river town"
faces = pytest.mark.parametrize("name", FILES)


@faces
@pytest.mark.parametrize("text", ["Stool, small", "żółty", "Κομμάτια", "0G8B 5SZ2"])
def test_text_runs_as_wide_as_the_type_engine_says(name, text):
    size = 1000
    engine = ImageFont.truetype(BytesIO(FILES[name]), size, layout_engine=ImageFont.Layout.BASIC)
    letters = sum(engine.getlength(letter) for letter in text)
    assert width_em(text, name) * size == pytest.approx(letters, rel=0.002)


def test_every_letter_of_a_code_is_equally_wide():
    assert len({width_em(letter, MONO) for letter in f" {ALPHABET}"}) == 1


def test_text_that_fits_keeps_its_size():
    assert fit_text("Stool", PLAIN, 30, 4, 2) == fit_text("Stool", PLAIN, 60, 4, 2)
    assert fit_text("Stool", PLAIN, 30, 4, 2).size_mm == 4


def test_text_that_is_a_little_long_shrinks_to_its_width():
    fitted = fit_text(TITLE, STRONG, 90, 4, 2, 2)
    assert fitted.lines == (TITLE,)
    assert fitted.size_mm * width_em(TITLE, STRONG) == pytest.approx(90)


def test_text_that_is_longer_wraps_between_words():
    fitted = fit_text(TITLE, STRONG, 50, 4, 2, 3)
    assert len(fitted.lines) > 1
    assert " ".join(fitted.lines) == TITLE


def test_text_without_a_second_line_shrinks_to_the_least_size_before_it_is_cut():
    assert fit_text(TITLE, STRONG, 65, 4, 2).lines == (TITLE,)
    assert fit_text(TITLE, STRONG, 52, 4, 2).cut


def test_text_that_cannot_fit_is_cut_with_an_ellipsis():
    fitted = fit_text(TITLE, STRONG, 20, 4, 2, 2)
    assert fitted.cut
    assert fitted.size_mm == 2
    assert fitted.lines[-1].endswith(ELLIPSIS)
    assert len(fitted.lines) == 2


def test_a_word_wider_than_the_line_is_broken():
    fitted = fit_text("W" * 30, PLAIN, 30, 4, 2, 3)
    assert "".join(fitted.lines) == "W" * 30


@given(
    st.text("abc WÓ,", min_size=1, max_size=80).map(clean).filter(bool),
    st.sampled_from([PLAIN, STRONG]),
    st.floats(8, 80),
    st.integers(1, 3),
)
def test_no_line_is_ever_wider_than_its_room(text, name, width_mm, most_lines):
    fitted = fit_text(text, name, width_mm, 4, 2, most_lines)
    widest = max(width_em(line, name) for line in fitted.lines) * fitted.size_mm
    assert widest <= width_mm + 1e-6
    assert len(fitted.lines) <= most_lines
    assert 2 <= fitted.size_mm <= 4


def test_control_characters_and_turns_of_direction_go():
    assert clean("blue\u202e\n\tflake\x00\u200b") == "blue flake"


def test_spaces_that_do_not_break_stay():
    assert clean("3.2\u00a0kg") == "3.2\u00a0kg"


def test_letters_and_their_accents_are_composed():
    assert clean("z\u0307o\u0301l") == "żól"


def test_names_what_a_face_does_not_hold():
    assert unprintable("板 PP 板") == "板"
