"""The type on a label: three faces of free licences, how wide text runs, how it is made to fit.

The faces come out of a wheel and are embedded in what is printed, so a label looks the
same everywhere. They hold Latin, Greek and Cyrillic; `unprintable` names the rest.
"""

import re
import unicodedata
from collections import defaultdict
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO

from pymupdf_fonts import CascadiaMono_Bold, NotoSans_Bold, NotoSans_Regular
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont

PLAIN, STRONG, MONO = "label-plain", "label-strong", "label-mono"
FILES = {
    PLAIN: NotoSans_Regular.fontbuffer,
    STRONG: NotoSans_Bold.fontbuffer,
    MONO: CascadiaMono_Bold.fontbuffer,
}
ELLIPSIS = "\u2026"
CAP_HEIGHT = 0.714  # of the size; the three faces differ by a fiftieth
ASCENT = 0.93  # of the size: capitals with accents
DESCENT = 0.25
LINE = ASCENT + DESCENT

_BREAKS = re.compile("[ \t\r\n\f\v\u2028\u2029]+")


@dataclass(frozen=True)
class Fitted:
    """Text that fits: its size in mm, its lines, and whether something had to go."""

    size_mm: float
    lines: tuple[str, ...]
    cut: bool = False


@cache
def face(name: str) -> TTFont:
    """Return a face, registered for drawing in a PDF."""
    font = TTFont(name, BytesIO(FILES[name]))
    registerFont(font)
    return font


@cache
def _widths(name: str) -> defaultdict[int, float]:
    metrics = face(name).face
    return defaultdict(lambda: metrics.defaultWidth, metrics.charWidths)


@lru_cache(maxsize=8192)
def width_em(text: str, name: str) -> float:
    """Return how wide text runs in a face, as a multiple of its size.

    >>> width_em("ABCD", MONO) == 4 * width_em("A", MONO)
    True
    """
    return sum(map(_widths(name).__getitem__, map(ord, text))) / 1000


@lru_cache(maxsize=8192)
def clean(text: str) -> str:
    r"""Return text as it is printed: composed, on one line, without control characters.

    Spaces that do not break stay; what turns the direction of writing goes.

    >>> clean("  blue\n\u202eflake ")
    'blue flake'
    """
    composed = _BREAKS.sub(" ", unicodedata.normalize("NFC", text)).strip()
    return "".join(c for c in composed if unicodedata.category(c)[0] != "C")


def unprintable(text: str, name: str = PLAIN) -> str:
    """Return the characters of a text that a face does not hold, each once, in order.

    >>> unprintable("Łódź, Θήρα, Вятка")
    ''
    """
    held = face(name).face.charToGlyph
    return "".join(dict.fromkeys(c for c in text if ord(c) not in held))


@lru_cache(maxsize=8192)
def fit_text(
    text: str, name: str, width_mm: float, size_mm: float, least_mm: float, most_lines: int = 1
) -> Fitted:
    """Return text made to fit a width: as it is, or smaller, or on more lines, or cut.

    It shrinks to six tenths of its size before it wraps, where it may, and to `least_mm` before it
    is cut with an ellipsis. A word that is wider than the line is broken.
    """
    floor_mm = max(least_mm, 0.6 * size_mm)
    single_mm = width_mm / max(width_em(text, name), 1e-6)
    if single_mm >= (floor_mm if most_lines > 1 else least_mm):
        return Fitted(min(size_mm, single_mm), (text,))
    for tried_mm in (floor_mm, (floor_mm + least_mm) / 2, least_mm):
        lines = _wrapped(text, name, width_mm / tried_mm)
        if len(lines) <= most_lines:
            return Fitted(tried_mm, lines)
    last = _cut(" ".join(lines[most_lines - 1 :]), name, width_mm / least_mm)
    return Fitted(least_mm, (*lines[: most_lines - 1], last), cut=True)


def _wrapped(text: str, name: str, width: float) -> tuple[str, ...]:
    """Return the lines of a text; the width is in multiples of the size."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".lstrip()
        if width_em(longer, name) <= width:
            lines[-1] = longer
            continue
        lines.extend(_broken(word, name, width))
    return tuple(line for line in lines if line)


def _broken(word: str, name: str, width: float) -> list[str]:
    if width_em(word, name) <= width:
        return [word]
    pieces = [""]
    for character in word:
        if pieces[-1] and width_em(pieces[-1] + character, name) > width:
            pieces.append("")
        pieces[-1] += character
    return pieces


def _cut(text: str, name: str, width: float) -> str:
    while text and width_em(text + ELLIPSIS, name) > width:
        text = text[:-1].rstrip()
    return text + ELLIPSIS
