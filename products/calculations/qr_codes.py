"""The square code on a label: what it says, how its modules lie, how large it must be.

A code says exactly `<site>/q/<CODE>` and nothing else: a polymer or a mass would
change or leak. The encoder is the library qrcode; only the choice of the mask is
made here, because trying all eight masks there takes six times as long as the rest.
The rules are those of ISO/IEC 18004 (7.8.3 for the masks).
"""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import chain
from math import inf
from urllib.parse import urlsplit

from qrcode import QRCode
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_Q
from qrcode.util import MODE_8BIT_BYTE, QRData

from inventory.calculations.codes import ALPHABET, LENGTH, normalise_code
from products.calculations.ranges import RangeNote, outside

LEVELS = {"Q": ERROR_CORRECT_Q, "H": ERROR_CORRECT_H}
QUIET_MODULES = 4
LEAST_MODULE_MM = 0.5
LEAST_DOTS = 4
DISTANCE_PER_SIDE = 10
INCH_MM = 25.4
MASKS = 8
MANY = 200  # codes of one site, for which it pays to work out what each bit changes
ASCII_BITS = 7
FINDER, TIMING, FORMAT = 7, 6, 8  # width of a finder; lines of timing and format information
VERSIONED = 45  # modules of version 7, the first that states its version

_ADDRESS = re.compile(rf"https?://[^/?#\s@]+(/[^?#\s]*)?/q/[{ALPHABET}]{{{LENGTH}}}")

Matrix = tuple[tuple[bool, ...], ...]


class AddressError(ValueError):
    """An address that may not be printed; `code` says which part of it is wrong."""

    def __init__(self, code: str):
        super().__init__(code)
        self.code = code


def label_address(site_url: str, code: str) -> str:
    """Return what the square code of a label says: the site's address, /q/ and the code.

    A slash at the end of the site's address is dropped. Raises AddressError with
    `site-url` when that is no http or https address, or has a user name, a query or
    a fragment; with `label-code` when the code is not written as it is printed.

    >>> label_address("https://shop.example/", "ABCDEFGHJKMN")
    'https://shop.example/q/ABCDEFGHJKMN'
    """
    parts = urlsplit(site_url.strip())
    plain = not (parts.query or parts.fragment or "@" in parts.netloc)
    if parts.scheme not in {"http", "https"} or not parts.hostname or not plain:
        raise AddressError("site-url")
    if normalise_code(code) != code:
        raise AddressError("label-code")
    address = f"{site_url.strip().rstrip('/')}/q/{code}"
    if not is_label_address(address):
        raise AddressError("site-url")
    return address


def is_label_address(text: str) -> bool:
    """Return whether a text is exactly `<site>/q/<CODE>`, the only thing a label's code may say.

    >>> is_label_address("https://shop.example/q/ABCDEFGHJKMN")
    True
    >>> is_label_address("https://shop.example/q/ABCDEFGHJKMN?kg=3")
    False
    """
    return _ADDRESS.fullmatch(text) is not None


def qr_matrix(text: str, level: str = "Q") -> Matrix:
    """Return the modules of a QR code, dark ones True, without the quiet zone.

    Level Q restores about 25 % of the symbol and serves printed labels; H restores about
    30 % and serves what is engraved or moulded (ISO/IEC 18004; Denso Wave, module size guide).
    The mask is the one with the fewest penalty points; of equal ones the first.

    >>> len(qr_matrix("https://shop.example/q/ABCDEFGHJKMN", "Q"))
    33
    """
    plain = _encoded(text.encode(), level, mask=0)
    return _masked(_packed(plain), _packed(zip(*plain, strict=True)), _template(len(plain), level))


def qr_matrices(texts: Iterable[str], level: str = "Q") -> dict[str, Matrix]:
    """Return the modules of many QR codes by their text, as `qr_matrix` does, sooner where many differ
    only in the code at the end.

    Error correction and masks add modulo 2, so a symbol is that of the same text with an empty
    end, and what each bit that is set in the end changes.
    """
    wanted = list(dict.fromkeys(texts))
    alike = Counter(text[:-LENGTH] for text in wanted)
    return {
        text: _added(text, level)
        if alike[text[:-LENGTH]] >= MANY and text[-LENGTH:].isascii()
        else qr_matrix(text, level)
        for text in wanted
    }


def module_size_mm(side_mm: float, modules: int) -> float:
    """Return the side of one module in mm, of a code that is side_mm wide with its quiet zone.

    >>> module_size_mm(20.5, 33)
    0.5
    """
    return side_mm / (modules + 2 * QUIET_MODULES)


def module_note(module_mm: float) -> RangeNote | None:
    """Return a note on modules (mm) too small to print on any label printer.

    Four printer dots for each module are 0.5 mm at 200 dpi (Denso Wave, module size guide).

    >>> module_note(0.5) is None
    True
    >>> module_note(0.4).low
    0.5
    """
    return outside("module-size", round(module_mm, 6), LEAST_MODULE_MM, inf)


def dots_note(module_mm: float, dpi: float) -> RangeNote | None:
    """Return a note when a module (mm) is less than four dots of a printer (dots per inch).

    Source: Denso Wave, module size guide.

    >>> dots_note(0.5, 203) is None
    True
    >>> dots_note(0.5, 150).code
    'printer-dots'
    """
    return outside("printer-dots", round(module_mm * dpi / INCH_MM, 2), LEAST_DOTS - 0.01, inf)


def advised_side_mm(reading_distance_mm: float, modules: int) -> float:
    """Return the side in mm, quiet zone included, for reading from a distance (mm).

    A code is read from about ten times its side (common practice); the side meant is
    that of the dark symbol. It is never advised smaller than modules of 0.5 mm.

    >>> advised_side_mm(330, 33)
    41.0
    >>> advised_side_mm(100, 33)
    20.5
    """
    symbol_mm = max(reading_distance_mm / DISTANCE_PER_SIDE, modules * LEAST_MODULE_MM)
    return symbol_mm / modules * (modules + 2 * QUIET_MODULES)


@dataclass(frozen=True)
class _Template:
    """Of one size and level: what each mask changes, and which modules its penalty looks at."""

    size: int
    by_row: tuple[int, ...]
    by_column: tuple[int, ...]
    scored: int
    cells: int


@dataclass(frozen=True)
class _Ends:
    """Of texts with one start: their symbol with an empty end, and what each bit of the end changes."""

    size: int
    empty: tuple[int, int]
    bits: dict[tuple[int, int], tuple[int, int]]


@lru_cache(maxsize=8)
def _ends(start: str, level: str) -> _Ends:
    """Each symbol is packed by rows and by columns; bits go by the place of their letter."""

    def both(end: bytes) -> tuple[int, int]:
        symbol = _encoded(start.encode() + end, level, mask=0)
        return _packed(symbol), _packed(zip(*symbol, strict=True))

    empty, bits = both(bytes(LENGTH)), {}
    for place in range(LENGTH):
        for bit in range(ASCII_BITS):
            found = both(bytes(place) + bytes([1 << bit]) + bytes(LENGTH - place - 1))
            bits[place, bit] = found[0] ^ empty[0], found[1] ^ empty[1]
    return _Ends(len(_encoded(start.encode() + bytes(LENGTH), level, mask=0)), empty, bits)


def _added(text: str, level: str) -> Matrix:
    ends = _ends(text[:-LENGTH], level)
    by_row, by_column = ends.empty
    for place, letter in enumerate(text[-LENGTH:].encode()):
        for bit in range(ASCII_BITS):
            if letter >> bit & 1:
                change = ends.bits[place, bit]
                by_row, by_column = by_row ^ change[0], by_column ^ change[1]
    return _masked(by_row, by_column, _template(ends.size, level))


def _masked(by_row: int, by_column: int, template: _Template) -> Matrix:
    """Return the modules of a symbol with the mask that costs the fewest points, of equal ones the first."""
    masks = zip(template.by_row, template.by_column, strict=True)
    scores = [_penalty(by_row ^ rows, by_column ^ columns, template) for rows, columns in masks]
    return _unpacked(by_row ^ template.by_row[scores.index(min(scores))], template.size)


def _encoded(text: bytes, level: str, mask: int, version: int | None = None) -> Matrix:
    version = version or _version(len(text), level)
    symbol = QRCode(version, error_correction=LEVELS[level], border=0, mask_pattern=mask)
    symbol.add_data(QRData(text, MODE_8BIT_BYTE))
    symbol.make(fit=False)
    return symbol.get_matrix()


@cache
def _version(length: int, level: str) -> int:
    """Return the smallest version that holds so many bytes."""
    symbol = QRCode(error_correction=LEVELS[level])
    symbol.add_data(QRData(b"a" * length, MODE_8BIT_BYTE))
    return symbol.best_fit()


@cache
def _template(size: int, level: str) -> _Template:
    """Masks are additions modulo 2, so what they change is the same for any content."""
    symbols = [_encoded(b"", level, mask, version=(size - 17) // 4) for mask in range(MASKS)]
    by_row = [_packed(symbol) for symbol in symbols]
    by_column = [_packed(zip(*symbol, strict=True)) for symbol in symbols]
    is_data = [[not _is_format(size, y, x) for x in range(size)] for y in range(size)]
    return _Template(
        size=size,
        by_row=tuple(bits ^ by_row[0] for bits in by_row),
        by_column=tuple(bits ^ by_column[0] for bits in by_column),
        scored=_packed(is_data),
        cells=_packed([[True] * size] * size),
    )


def _is_format(size: int, y: int, x: int) -> bool:
    """Return whether a module is format or version information, which masks leave alone."""
    near, far = min(y, x), max(y, x)
    around = far == FORMAT and near != TIMING
    beside = near == FORMAT and far >= size - FINDER - 1
    version = size >= VERSIONED and near < TIMING and far in range(size - 11, size - 8)
    return around or beside or version


def _packed(rows) -> int:
    """Return the modules as one number, row after row, four light ones after each."""
    return int("".join(chain.from_iterable((*map("01".__getitem__, r), "0000") for r in rows)), 2)


def _unpacked(bits: int, size: int) -> Matrix:
    text = f"{bits:0{size * (size + 4)}b}"
    rows = (text[start : start + size] for start in range(0, len(text), size + 4))
    return tuple(tuple(map("1".__eq__, row)) for row in rows)


def _penalty(by_row: int, by_column: int, template: _Template) -> int:
    """Return the penalty points of ISO/IEC 18004 (7.8.3), format information left out.

    Whole rows are worked on as one number: a shift looks at each module's neighbour.
    """
    rows, columns = by_row & template.scored, by_column & template.scored
    light = template.cells & ~rows
    points = 0
    for bits in (rows, light, columns, template.cells & ~columns):
        points += _run_points(bits)
    for bits in (rows, light):
        pairs = bits & bits >> 1
        points += 3 * (pairs & pairs >> (template.size + 4)).bit_count()
    for bits in (rows, columns):
        points += 40 * _finderlike(bits)
    percent = 100 * rows.bit_count() / template.size**2
    return points + 10 * int(abs(percent - 50) / 5)


def _finderlike(bits: int) -> int:
    """Return how often 1011101 stands before or after four light modules; overlaps count once."""
    dark, light = bits << 4, ~(bits << 4)  # room for the light modules before the first
    found = dark & light >> 1 & dark >> 2 & dark >> 3 & dark >> 4 & light >> 5 & dark >> 6
    found &= _four(light << 4) | _four(light >> 7)
    return (found & ~(found >> 4 | found >> 6)).bit_count()


def _four(bits: int) -> int:
    pairs = bits & bits >> 1
    return pairs & pairs >> 2


def _run_points(bits: int) -> int:
    """Return three points for each run of five, and one for each module more."""
    fives = bits & bits >> 1
    fives &= fives >> 2
    fives &= bits >> 4
    return fives.bit_count() + 2 * (fives & ~(fives >> 1)).bit_count()
