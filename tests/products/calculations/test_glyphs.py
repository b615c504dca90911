"""The letters for cutting, which are this project's own."""

import string

import pytest

from products.calculations.fillers import FORMS, TYPES
from products.calculations.glyphs import CAPITAL_UNITS, GLYPHS, GlyphError, cut_text
from products.calculations.polymers import CHARACTERISTICS, POLYMERS

LETTERS = sorted(GLYPHS.keys() - {" "})


def points(letter):
    return [point for stroke in GLYPHS[letter].strokes for point in stroke]


def at_origin(letter):
    """The strokes moved so that their first point is the origin."""
    x0, y0 = GLYPHS[letter].strokes[0][0]
    return tuple(tuple((x - x0, y - y0) for x, y in stroke) for stroke in GLYPHS[letter].strokes)


def test_every_letter_digit_and_sign_of_a_mark_can_be_cut():
    """The characters of ISO 11469 and ISO 1043 marks, of dates and of resin codes."""
    symbols = "".join([*POLYMERS, *TYPES, *FORMS, *CHARACTERISTICS])
    wanted = set(string.ascii_uppercase + string.digits + "><-+(),./: ") | set(symbols)
    assert wanted - GLYPHS.keys() == set()


@pytest.mark.parametrize("letter", string.ascii_uppercase + string.digits)
def test_letters_and_digits_are_as_high_as_a_capital(letter):
    heights = [y for _x, y in points(letter)]
    assert (min(heights), max(heights)) == (0, CAPITAL_UNITS)


@pytest.mark.parametrize("letter", LETTERS)
def test_strokes_stay_between_the_left_edge_and_the_width(letter):
    across = [x for x, _y in points(letter)]
    assert (min(across), max(across)) == (0, GLYPHS[letter].width)
    assert {0 <= y <= CAPITAL_UNITS for _x, y in points(letter)} == {True}


@pytest.mark.parametrize("letter", LETTERS)
def test_every_stroke_goes_somewhere(letter):
    steps = [
        pair for stroke in GLYPHS[letter].strokes for pair in zip(stroke, stroke[1:], strict=False)
    ]
    assert steps
    assert [pair for pair in steps if pair[0] == pair[1]] == []


def test_no_two_letters_have_the_same_strokes():
    assert len({at_origin(letter) for letter in LETTERS}) == len(LETTERS)


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("pe-hd", "PE-HD"),
        ("  Werkstatt \u00dcber\u00df ", "WERKSTATT UBERSS"),
        ("\uff21", "A"),
        ("", ""),
    ],
)
def test_a_text_is_cut_in_capitals_without_accents(text, cut):
    assert cut_text(text) == cut


@pytest.mark.parametrize(
    ("text", "letter", "position"), [("PP*", "*", 2), ("\u03b1-x", "\u03b1", 0)]
)
def test_a_letter_without_strokes_is_refused_with_its_place(text, letter, position):
    with pytest.raises(GlyphError) as error:
        cut_text(text)
    assert (error.value.code, error.value.letter, error.value.position) == (
        "no-glyph",
        letter,
        position,
    )
