"""Fillers and reinforcements as ISO 1043-2 writes them: a type, a form and a share by mass.

Read in ISO 1043-2:2011: capitals only except for chemical symbols; the first letter is
the type, the second the form (GF glass fibre, GCM glass chopped-strand mat, MD mineral
powder); mixtures stand in parentheses with + and no spaces; a metal is named in
parentheses, MED(Al). The other letters are from memory (usual source: the standard).
"""

from dataclasses import dataclass

from products.calculations.sentences import Sentence

TYPES = {
    "A": "asbestos",
    "B": "boron",
    "C": "carbon",
    "D": "alumina trihydrate",
    "E": "clay",
    "G": "glass",
    "K": "calcium carbonate",
    "L": "cellulose",
    "M": "mineral",
    "ME": "metal",
    "N": "natural organic material",
    "P": "mica",
    "Q": "silica",
    "R": "aramid",
    "S": "synthetic organic material",
    "T": "talc",
    "W": "wood",
    "X": "unspecified material",
    "Z": "other material",
}

FORMS = {
    "B": "beads",
    "C": "chips",
    "CM": "chopped-strand mat",
    "D": "powder",
    "F": "fibre",
    "G": "ground",
    "H": "whiskers",
    "K": "knitted fabric",
    "L": "layer",
    "M": "mat",
    "N": "non-woven fabric",
    "P": "paper",
    "R": "roving",
    "S": "flakes",
    "T": "braided fabric",
    "V": "veneer",
    "W": "woven fabric",
    "X": "unspecified form",
    "Y": "yarn",
    "Z": "other form",
}

METAL = "ME"
UNNAMED = "x"  # stands in for the chemical symbol of a metal that is not named


@dataclass(frozen=True)
class Filler:
    """A filler or reinforcement: type, form, per cent by mass where stated, a metal's symbol."""

    kind: str
    form: str
    percent: int | None = None
    metal: str = ""

    def __str__(self):
        metal = f"({self.metal})" if self.metal else ""
        return f"{self.kind}{self.form}{metal}{self.percent or ''}"


def split_letters(letters: str) -> tuple[str, str] | None:
    """Return the type and the form in the letters of a filler, None when they are none.

    >>> split_letters("GF"), split_letters("GCM"), split_letters("MEF")
    (('G', 'F'), ('G', 'CM'), ('ME', 'F'))
    >>> split_letters("HD") is None
    True
    """
    splits = ((letters[:at], letters[at:]) for at in (2, 1))
    return next(((kind, form) for kind, form in splits if kind in TYPES and form in FORMS), None)


def filler_sentence(filler: Filler) -> Sentence:
    """Return what a filler is, in a sentence.

    >>> filler_sentence(Filler("G", "F", 30))
    'GF30 is glass fibre, 30 % by mass (ISO 1043-2).'
    >>> filler_sentence(Filler("ME", "D", metal="Al"))
    'MED(Al) is metal powder (Al), its share not stated (ISO 1043-2).'
    """
    name = f"{TYPES[filler.kind]} {FORMS[filler.form]}"
    if filler.metal == UNNAMED:
        name = Sentence("filler-metal-not-named", name=name)
    elif filler.metal:
        name = f"{name} ({filler.metal})"
    facts = {"symbol": str(filler), "name": name}
    if filler.percent:
        return Sentence("filler", percent=filler.percent, **facts)
    return Sentence("filler-without-share", **facts)
