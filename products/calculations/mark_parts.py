"""What a mark on a part consists of, its text, and the errors of a mark.

The tree: a Mark has layers (one, or several for a laminate), a Layer has constituents
(one, or several for a blend), a Constituent is a polymer. Fillers, flame retardant and
recyclate stand at the end and belong to the whole layer; a plasticiser belongs to its
polymer. So written after the syntax that ISO 11469:2016 shows in its clauses on single
constituents, blends and special additives.
"""

from dataclasses import dataclass

from products.calculations.fillers import Filler
from products.calculations.sentences import Sentence

MOST_LESS_THAN = 100  # per cent of a layer that is filler


class MarkError(ValueError):
    """A text that is no mark: a code, where (index from 0), and the rule it breaks.

    `suggestion` is a text nearer to a mark, or empty; it has not been read itself.
    """

    def __init__(self, code: str, position: int, *, suggestion: str = "", **facts):
        self.code = code
        self.position = position
        self.rule = Sentence(code, **facts)
        self.sentence = Sentence("at-character", rule=self.rule, number=position + 1)
        self.suggestion = suggestion
        super().__init__(str(self.sentence))


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
