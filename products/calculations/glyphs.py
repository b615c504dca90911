"""Letters for cutting: each a few straight strokes along the middle of the cut.

Drawn for this project on a grid of 4 by 6 units: capitals are 6 units high and start at x = 0. Each
pair of digits is a point, x then y, y up; strokes are parted by a bar. The zero has a
slash and I has serifs, so that 0 and O, 1 and I are told apart on a worn part.
"""

import unicodedata
from dataclasses import dataclass

CAPITAL_UNITS = 6
SPACE_UNITS = 2

_DRAWN = {
    "A": "00 04 26 44 40|02 42",
    "B": "00 06 36 45 44 33 42 41 30 00|03 33",
    "C": "41 30 10 01 05 16 36 45",
    "D": "00 06 26 44 42 20 00",
    "E": "40 00 06 46|03 33",
    "F": "00 06 46|03 33",
    "G": "45 36 16 05 01 10 30 41 43 23",
    "H": "00 06|40 46|03 43",
    "I": "10 16|00 20|06 26",
    "J": "46 41 30 10 01",
    "K": "00 06|46 03 40",
    "L": "06 00 40",
    "M": "00 06 23 46 40",
    "N": "00 06 40 46",
    "O": "10 30 41 45 36 16 05 01 10",
    "P": "00 06 36 45 44 33 03",
    "Q": "10 30 41 45 36 16 05 01 10|22 40",
    "R": "00 06 36 45 44 33 03|23 40",
    "S": "01 10 30 41 42 33 13 04 05 16 36 45",
    "T": "06 46|26 20",
    "U": "06 01 10 30 41 46",
    "V": "06 20 46",
    "W": "06 10 23 30 46",
    "X": "00 46|06 40",
    "Y": "06 23 46|23 20",
    "Z": "06 46 00 40",
    "0": "10 30 41 45 36 16 05 01 10|11 35",
    "1": "05 16 10|00 20",
    "2": "05 16 36 45 44 00 40",
    "3": "05 16 36 45 44 33 42 41 30 10 01|13 33",
    "4": "30 36 02 42",
    "5": "46 06 03 33 42 41 30 10 01",
    "6": "45 36 16 05 01 10 30 41 42 33 03",
    "7": "06 46 20",
    "8": "13 04 05 16 36 45 44 33 42 41 30 10 01 02 13 33",
    "9": "01 10 30 41 45 36 16 05 04 13 43",
    ">": "05 43 01",
    "<": "45 03 41",
    "-": "03 33",
    "+": "03 43|21 25",
    "(": "26 04 02 20",
    ")": "06 24 22 00",
    ",": "11 00",
    ".": "00 10 11 01 00",
    "/": "00 46",
    ":": "01 11 12 02 01|04 14 15 05 04",
    "'": "06 04",
    "&": "40 04 05 16 25 24 02 01 10 20 42",
}


@dataclass(frozen=True)
class Glyph:
    """A letter: its width and its strokes, each a row of points, in units of the grid."""

    width: int
    strokes: tuple[tuple[tuple[int, int], ...], ...]


def _glyph(drawn: str) -> Glyph:
    strokes = tuple(
        tuple((int(x), int(y)) for x, y in stroke.split()) for stroke in drawn.split("|")
    )
    return Glyph(max(x for stroke in strokes for x, _y in stroke), strokes)


GLYPHS = {letter: _glyph(drawn) for letter, drawn in _DRAWN.items()}
GLYPHS[" "] = Glyph(SPACE_UNITS, ())


class GlyphError(ValueError):
    """A letter that has no strokes: which, and where in the text (index from 0)."""

    def __init__(self, letter: str, position: int):
        self.code = "no-glyph"
        self.letter = letter
        self.position = position
        super().__init__(f"There is no letter for cutting {letter!r} (character {position + 1}).")


def cut_text(text: str) -> str:
    """Return a text as it is cut: capitals without accents, single spaces.

    Raises GlyphError, code `no-glyph`, with the letter that cannot be cut.

    >>> cut_text("Atelier  Dêmo, >PP-MED(Al)<")
    'ATELIER DEMO, >PP-MED(AL)<'
    """
    text = " ".join(text.split())
    for position, letter in enumerate(text):
        if not set(_plain(letter)) <= GLYPHS.keys():
            raise GlyphError(letter, position)
    return _plain(text)


def _plain(text: str) -> str:
    parts = unicodedata.normalize("NFKD", text.upper())
    return "".join(part for part in parts if not unicodedata.combining(part))
