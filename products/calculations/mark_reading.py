"""Reading a mark from left to right; the first thing that breaks a rule is the error.

Grammar (this project's own wording of ISO 11469 and ISO 1043-1 to -4):

    mark        = ">" layer ("," layer)* "<"
    layer       = constituent ("+" constituent)* ("-" filling)? flame? recyclate?
    constituent = POLYMER ("-" LETTERS)? ("(" PLASTICISER ")")?
    filling     = filler | "(" filler ("+" filler)+ ")" PERCENT?
    filler      = TYPE FORM ("(" METAL ")")? PERCENT?
    flame       = "-"? "FR(" two digits ")"
    recyclate   = "(REC" PERCENT? ")"
"""

import re
from functools import lru_cache

from products.calculations.fillers import METAL, Filler, split_letters
from products.calculations.mark_parts import (
    MOST_LESS_THAN,
    Constituent,
    Layer,
    Mark,
    MarkError,
    Recyclate,
)
from products.calculations.polymers import (
    CHARACTERISTICS,
    GRADES,
    correct_spelling,
    is_symbol,
    polymer_name,
)

FLAME = "FR"
SYMBOL = re.compile(r"[A-Z][A-Z0-9]*(?:/[A-Z0-9]+)*")
LETTERS = re.compile(r"[A-Z]+")
DIGITS = re.compile(r"[0-9]+")
PERCENT = re.compile(r"[1-9][0-9]?")
ALL_OR_PERCENT = re.compile(r"100|[1-9][0-9]?")
FLAME_CODE = re.compile(r"\(([1-9][0-9])\)")
PLASTICISER = re.compile(r"\((?!REC)([A-Z]{2,6})\)")
CHEMICAL_SYMBOL = re.compile(r"\(([A-Z][a-z]?|x)\)")
RECYCLATE = re.compile(r"\(REC([^)]*)\)")
CHARACTERISTIC_LETTERS = re.compile(r"-([A-Z]+)(?![A-Z0-9])")
MORE_FILLER = re.compile(r"\+\(?([A-Z]+)([0-9]*)")
RUN = re.compile(r"[^+(<]+")
CUT = re.compile(r"[-,]|$")


class Reader:
    """A mark's text and how far it has been read."""

    def __init__(self, text: str):
        self.text = text
        self.at = 1
        self.end = len(text) - 1

    def sees(self, part: str) -> bool:
        """Return whether the next characters are these."""
        return self.text.startswith(part, self.at, self.end)

    def take(self, part: str) -> bool:
        """Go past these characters when they are next."""
        found = self.sees(part)
        self.at += len(part) if found else 0
        return found

    def peek(self, pattern: re.Pattern) -> re.Match | None:
        """Return what the pattern finds next."""
        return pattern.match(self.text, self.at, self.end)

    def match(self, pattern: re.Pattern) -> re.Match | None:
        """Go past what the pattern finds next."""
        found = self.peek(pattern)
        self.at = found.end() if found else self.at
        return found

    def unexpected(self) -> MarkError:
        """Return the error for the next character, whatever stood before it."""
        here = self.text[self.at]
        if here.isspace():
            return MarkError("space", self.at, suggestion="".join(self.text.split()))
        if here.islower():
            return MarkError("lower-case", self.at, suggestion=self.text.upper())
        if here == "(":
            return MarkError("parentheses", self.at)
        return MarkError("unexpected", self.at, found=here)


@lru_cache(maxsize=1024)
def read_mark(text: str) -> Mark:
    """Return the tree of a mark; raises MarkError."""
    _check_brackets(text)
    reader = Reader(text)
    layers = [_layer(reader)]
    while reader.take(","):
        layers.append(_layer(reader))
    if reader.at != reader.end:
        raise reader.unexpected()
    return Mark(tuple(layers))


def _check_brackets(text: str) -> None:
    if text.startswith("<") and text.endswith(">"):
        raise MarkError("reversed-brackets", 0, suggestion=f">{text[1:-1]}<")
    if not text.startswith(">"):
        raise MarkError("brackets", 0)
    if not text.endswith("<"):
        raise MarkError("brackets", len(text))


def _layer(reader: Reader) -> Layer:
    constituents = [_constituent(reader)]
    while reader.take("+"):
        constituents.append(_constituent(reader))
    fillers, fillers_percent = _filling(reader)
    layer = Layer(
        constituents=tuple(constituents),
        fillers=fillers,
        fillers_percent=fillers_percent,
        flame_code=_flame(reader),
        recyclate=_recyclate(reader),
    )
    if reader.sees("+"):
        raise _plus_behind_additives(reader)
    return layer


def _plus_behind_additives(reader: Reader) -> MarkError:
    more = reader.peek(MORE_FILLER)
    if more and split_letters(more[1]) and (more[2] or polymer_name(more[1]) is None):
        return MarkError("mixture-without-parentheses", reader.at)
    return MarkError("additive-before-blend", reader.at)


def _constituent(reader: Reader) -> Constituent:
    _refuse_trade_spelling(reader)
    start = reader.at
    symbol = reader.match(SYMBOL)
    if symbol is None and reader.text[start] in "+,<":
        raise MarkError("missing-polymer", start)
    if symbol is None:
        raise reader.unexpected()
    if polymer_name(symbol[0]) is None:
        raise _no_polymer(reader, symbol[0], start)
    letters = _characteristics(reader, symbol[0])
    plasticiser = reader.match(PLASTICISER)
    return Constituent(symbol[0], letters, plasticiser[1] if plasticiser else "")


def _no_polymer(reader: Reader, found: str, start: int) -> MarkError:
    if re.fullmatch(r"FR[0-9]*", found):
        return MarkError("flame-code", start)
    if reader.text[reader.at].islower():
        return reader.unexpected()
    return MarkError("unknown-polymer", start, found=found)


def _refuse_trade_spelling(reader: Reader) -> None:
    """The longest run that is a trade spelling counts: "nylon 6,6" goes before "nylon 6"."""
    run = reader.peek(RUN)
    cuts = [cut.start() for cut in CUT.finditer(run[0])] if run else []
    for length in reversed(cuts):
        spelling = reader.text[reader.at : reader.at + length]
        correction = correct_spelling(spelling)
        if correction and not is_symbol(spelling.upper()):
            rest = reader.text[reader.at + length :]
            raise MarkError(
                "trade-spelling",
                reader.at,
                sentence=correction[1],
                suggestion=f"{reader.text[: reader.at]}{correction[0]}{rest}",
            )


def _characteristics(reader: Reader, symbol: str) -> str:
    found = reader.peek(CHARACTERISTIC_LETTERS)
    if found is None or not _are_characteristics(symbol, found[1]):
        return ""
    reader.at = found.end()
    return found[1]


def _are_characteristics(symbol: str, letters: str) -> bool:
    """PE-MD is a medium density, PP-MD a mineral powder: a settled grade goes first."""
    if (symbol, letters) in GRADES:
        return True
    if letters == FLAME or split_letters(letters):
        return False
    return set(letters) <= CHARACTERISTICS.keys()


def _filling(reader: Reader) -> tuple[tuple[Filler, ...], int | None]:
    start = reader.at
    if reader.sees(f"-{FLAME}") or not reader.take("-"):
        return (), None
    if reader.take("("):
        fillers = _mixture(reader)
        percent = _percent(reader)
    else:
        fillers, percent = (_filler(reader),), None
    shares = [filler.percent for filler in fillers if filler.percent]
    if percent and shares:
        raise MarkError("mixture-counted-twice", start + 1)
    if sum(shares) >= MOST_LESS_THAN:
        raise MarkError("percentage-sum", start + 1)
    return fillers, percent


def _mixture(reader: Reader) -> tuple[Filler, ...]:
    start = reader.at - 1
    fillers = [_filler(reader)]
    while reader.take("+"):
        fillers.append(_filler(reader))
    if not reader.take(")"):
        raise reader.unexpected()
    if len(fillers) == 1:
        raise MarkError("mixture-of-one", start)
    return tuple(fillers)


def _filler(reader: Reader) -> Filler:
    if reader.peek(DIGITS):
        raise MarkError("number-before-filler", reader.at)
    start = reader.at
    letters = reader.match(LETTERS)
    if letters is None:
        raise reader.unexpected()
    parts = split_letters(letters[0])
    if parts is None:
        raise MarkError("unknown-letters", start, found=letters[0])
    metal = _metal(reader) if parts[0] == METAL else ""
    return Filler(*parts, percent=_percent(reader), metal=metal)


def _metal(reader: Reader) -> str:
    if not reader.sees("(") or reader.sees("(REC"):
        return ""
    if metal := reader.match(CHEMICAL_SYMBOL):
        return metal[1]
    raise MarkError("metal", reader.at + 1)


def _percent(reader: Reader) -> int | None:
    start = reader.at
    digits = reader.match(DIGITS)
    if digits is None:
        return None
    if not PERCENT.fullmatch(digits[0]):
        raise MarkError("percentage", start)
    return int(digits[0])


def _flame(reader: Reader) -> int | None:
    if not (reader.take(f"-{FLAME}") or reader.take(FLAME)):
        return None
    if code := reader.match(FLAME_CODE):
        return int(code[1])
    raise MarkError("flame-code", reader.at + (1 if reader.sees("(") else 0))


def _recyclate(reader: Reader) -> Recyclate | None:
    start = reader.at
    found = reader.match(RECYCLATE)
    if found is None:
        return None
    if found[1] and not ALL_OR_PERCENT.fullmatch(found[1]):
        raise MarkError("recyclate", start + len("(REC"))
    return Recyclate(int(found[1]) if found[1] else None)
