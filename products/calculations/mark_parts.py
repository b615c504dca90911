"""What a mark on a part consists of, its text, and the errors of a mark.

The tree: a Mark has layers (one, or several for a laminate), a Layer has constituents
(one, or several for a blend), a Constituent is a polymer. Fillers, flame retardant and
recyclate stand at the end and belong to the whole layer; a plasticiser belongs to its
polymer. So written after the syntax that ISO 11469:2016 shows in its clauses on single
constituents, blends and special additives.
"""

from dataclasses import dataclass

from products.calculations.fillers import Filler

MOST_LESS_THAN = 100  # per cent of a layer that is filler

RULES = {
    "brackets": "A mark stands between > and < (ISO 11469).",
    "reversed-brackets": "A mark begins with > and ends with < (ISO 11469).",
    "space": "No spaces stand in a mark (ISO 1043-2).",
    "lower-case": "Symbols are written in capitals (ISO 1043-1); only a metal's symbol has small letters.",
    "trade-spelling": "{sentence}",
    "missing-polymer": "A polymer's symbol stands here (ISO 1043-1).",
    "unknown-polymer": "{found} is not among the polymer symbols of ISO 1043-1 kept here.",
    "unknown-letters": "{found} is neither characteristics (ISO 1043-1) nor a filler's type and form (-2).",
    "number-before-filler": "The share stands behind type and form: MD30 (ISO 1043-2).",
    "percentage": "A share is a whole number of per cent by mass from 1 to 99 (ISO 1043-2).",
    "percentage-sum": "The shares of fillers and reinforcements come to less than 100 % by mass (ISO 1043-2).",
    "mixture-without-parentheses": "A mixture of fillers stands in parentheses: (GF25+MD15) (ISO 1043-2).",
    "mixture-of-one": "Parentheses hold a mixture of at least two fillers (ISO 1043-2).",
    "mixture-counted-twice": "A mixture has a share for each filler or one for all, not both (ISO 1043-2).",
    "metal": "A metal is named by its chemical symbol: MED(Al) (ISO 1043-2).",
    "additive-before-blend": "Fillers and additives stand behind the last polymer of a blend (ISO 11469).",
    "flame-code": "A flame retardant is FR with two digits from 10 in parentheses: FR(17) (ISO 1043-4).",
    "recyclate": "Recyclate is (REC), or with per cent by mass from 1 to 100, (REC30) (ISO 1043-1, clause 7).",
    "parentheses": "Parentheses hold a plasticiser in capitals (ISO 1043-3), a flame code (-4) or REC here.",
    "unexpected": "{found} has no place here (ISO 11469).",
    "ambiguous": "These parts would be read as another mark; see ISO 1043-1 for the letters.",
}


class MarkError(ValueError):
    """A text that is no mark: a code, where (index from 0), and the rule it breaks.

    `suggestion` is a text nearer to a mark, or empty; it has not been read itself.
    """

    def __init__(self, code: str, position: int, *, suggestion: str = "", **facts):
        self.code = code
        self.position = position
        self.rule = RULES[code].format(**facts)
        self.suggestion = suggestion
        super().__init__(f"{self.rule} (character {position + 1})")


@dataclass(frozen=True)
class Constituent:
    """A polymer with the letters of its characteristics and its plasticiser."""

    symbol: str
    characteristics: str = ""
    plasticiser: str = ""

    def __str__(self):
        letters = f"-{self.characteristics}" if self.characteristics else ""
        plasticiser = f"({self.plasticiser})" if self.plasticiser else ""
        return f"{self.symbol}{letters}{plasticiser}"


@dataclass(frozen=True)
class Recyclate:
    """A note of recycled plastic, in per cent by mass where stated."""

    percent: int | None = None

    def __str__(self):
        return f"(REC{self.percent or ''})"


@dataclass(frozen=True)
class Layer:
    """Polymers, main one first, and what was added to them.

    `fillers_percent` is the share of a mixture as a whole, in per cent by mass; `flame_code`
    is the code of a flame retardant (10 to 99).
    """

    constituents: tuple[Constituent, ...]
    fillers: tuple[Filler, ...] = ()
    fillers_percent: int | None = None
    flame_code: int | None = None
    recyclate: Recyclate | None = None

    def __str__(self):
        polymers = "+".join(map(str, self.constituents))
        filling = self._filling()
        # Straight behind letters, GF and FR(17) would run into each other.
        hyphen = "-" if not filling or filling[-1].isalpha() else ""
        flame = f"{hyphen}FR({self.flame_code})" if self.flame_code else ""
        return f"{polymers}{filling}{flame}{self.recyclate or ''}"

    def _filling(self) -> str:
        if not self.fillers:
            return ""
        mixture = "+".join(map(str, self.fillers))
        if len(self.fillers) == 1:
            return f"-{mixture}"
        return f"-({mixture}){self.fillers_percent or ''}"


@dataclass(frozen=True)
class Mark:
    """What a mark says: one layer, or the layers of a laminate."""

    layers: tuple[Layer, ...]

    def __str__(self):
        return f">{','.join(map(str, self.layers))}<"
