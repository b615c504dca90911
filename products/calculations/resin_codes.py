"""Resin identification: the number and text for a polymer, and which marking a thing needs.

ASTM D7611/D7611M numbers resins 1 to 7 for identification only; Commission Decision 97/129/EC
numbers packaging materials, voluntarily, and leaves 7 to 19 open, where accepted practice
is 7 with the symbol of ISO 1043-1 (answers of a packaging consortium, 2021-2023). The
spellings HDPE/PE-HD, LDPE/PE-LD, PETE/PET, PVC/V are from memory of ASTM D7611, the
numbers above 19 and the composites from memory of 97/129/EC, annexes I to VII.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from products.calculations.polymers import POLYAMIDE, is_symbol
from products.calculations.sentences import Sentence

OTHER = 7

RESINS = {
    "PET": (1, "PETE", "PET"),
    "PE-HD": (2, "HDPE", "HDPE"),
    "PVC": (3, "PVC", "PVC"),
    "PVC-U": (3, "PVC", "PVC"),
    "PVC-P": (3, "PVC", "PVC"),
    "PE-LD": (4, "LDPE", "LDPE"),
    "PE-LLD": (4, "LDPE", "LDPE"),
    "PP": (5, "PP", "PP"),
    "PP-E": (5, "PP", "PP"),
    "PS": (6, "PS", "PS"),
    "PS-HI": (6, "PS", "PS"),
    "PS-E": (6, "PS", "PS"),
}

ASTM = "ASTM D7611"
EUROPE = "97/129/EC"
ASTM_TEXTS = {
    1: ("PETE", "PET"),
    2: ("HDPE", "PE-HD"),
    3: ("PVC", "V"),
    4: ("LDPE", "PE-LD"),
    5: ("PP",),
    6: ("PS",),
    OTHER: ("OTHER",),
}
EUROPE_TEXTS = {
    1: "PET", 2: "HDPE", 3: "PVC", 4: "LDPE", 5: "PP", 6: "PS",
    20: "PAP", 21: "PAP", 22: "PAP",
    40: "FE", 41: "ALU", 50: "FOR", 51: "FOR", 60: "TEX", 61: "TEX",
    70: "GL", 71: "GL", 72: "GL",
}  # fmt: skip
FAMILIES = {"PAP": "paper", "FE": "tinplate", "ALU": "aluminium", "GL": "glass"}
COMPOSITES = {
    frozenset({"paper", "plastic"}): 81,
    frozenset({"paper", "aluminium"}): 82,
    frozenset({"paper", "tinplate"}): 83,
    frozenset({"paper", "plastic", "aluminium"}): 84,
    frozenset({"paper", "plastic", "aluminium", "tinplate"}): 85,
    frozenset({"plastic", "aluminium"}): 90,
    frozenset({"plastic", "tinplate"}): 91,
    frozenset({"glass", "plastic"}): 95,
    frozenset({"glass", "aluminium"}): 96,
    frozenset({"glass", "tinplate"}): 97,
}
COMPOSITE_NUMBERS = frozenset({80, 92, 98, *COMPOSITES.values()})  # 80, 92, 98: various metals
COMPOSITE = "C/"

MARK_FROM_G = 25.0
MARK_FROM_MM2 = 200.0
CHASING = "chasing"
PROMISE = re.compile(r"\bre-?cyclab(?:le|ly|ility)", re.IGNORECASE)


@dataclass(frozen=True)
class ResinCode:
    """A number, None for a composite without one, and the text that stands below it."""

    number: int | None
    text: str


def resin_code(symbol: str) -> ResinCode:
    """Return the number and text of ASTM D7611 for a symbol of ISO 1043-1.

    PET-G has no melting peak in the window that the -20 edition asks of code 1, so it is never
    1; all that is not 1 to 6, blends and filled polymers too, is 7 OTHER.

    >>> resin_code("PE-HD"), resin_code("PET-G")
    (ResinCode(number=2, text='HDPE'), ResinCode(number=7, text='OTHER'))
    """
    number, text, _packaging_text = RESINS.get(symbol, (OTHER, "OTHER", ""))
    return ResinCode(number, text)


def packaging_code(symbol: str) -> ResinCode:
    """Return the number and abbreviation of 97/129/EC for a plastic's symbol of ISO 1043-1.

    Foam is numbered as the solid. What has no number of its own is 7 with its symbol.

    >>> packaging_code("PE-LLD"), packaging_code("PA66")
    (ResinCode(number=4, text='LDPE'), ResinCode(number=7, text='PA'))
    """
    if symbol in RESINS:
        return ResinCode(RESINS[symbol][0], RESINS[symbol][2])
    return ResinCode(OTHER, "PA" if POLYAMIDE.fullmatch(symbol) else symbol)


def composite_code(masses: Mapping[str, float]) -> ResinCode:
    """Return the code of 97/129/EC for packaging of materials that do not come apart.

    `masses` by material in one unit: PAP, FE, ALU, GL, or a plastic's symbol. The text is C/
    and the main material by mass, equal ones by name; the number is None when the annex
    lists no such composite. Raises ValueError for fewer than two kinds of material.

    >>> composite_code({"PAP": 20, "PE-LD": 5})
    ResinCode(number=81, text='C/PAP')
    """
    by_text, families = defaultdict(float), set()
    for material, mass in masses.items():
        families.add(FAMILIES.get(material, "plastic"))
        text = material if material in FAMILIES else packaging_code(material).text
        by_text[text] += mass
    if len(families) == 1 or not families:
        raise ValueError("a composite has at least two of paper, plastic, metal and glass")
    main = min(by_text, key=lambda text: (-by_text[text], text))
    return ResinCode(COMPOSITES.get(frozenset(families)), f"{COMPOSITE}{main}")


@dataclass(frozen=True)
class PairCheck:
    """Whether a number and a text go together, in which systems, and why."""

    valid: bool
    systems: tuple[str, ...]
    reason: str


def check_pair(number: int | None, text: str) -> PairCheck:
    """Return whether a number and a text may stand together, and by which system.

    A composite may stand without a number. Texts are compared as they are printed, in capitals.

    >>> check_pair(2, "HDPE").systems
    ('ASTM D7611', '97/129/EC')
    >>> check_pair(4, "HDPE").reason
    '4 is LDPE or PE-LD (ASTM D7611, 97/129/EC), not HDPE.'
    """
    if text.startswith(COMPOSITE):
        return _check_composite(number, text.removeprefix(COMPOSITE))
    systems = []
    if text in ASTM_TEXTS.get(number, ()):
        systems.append(ASTM)
    if text == EUROPE_TEXTS.get(number) or (number == OTHER and _is_open(text)):
        systems.append(EUROPE)
    if systems:
        return PairCheck(
            valid=True,
            systems=tuple(systems),
            reason=f"{text} is {number} in {' and '.join(systems)}.",
        )
    return PairCheck(valid=False, systems=(), reason=_why_not(number, text))


def refuse_to_draw(number: int, text: str) -> None:
    """Raise ValueError with the reason unless number (1 to 7) and text go into a triangle.

    >>> refuse_to_draw(2, "HDPE")
    """
    pair = check_pair(number, text)
    if not pair.valid or number not in ASTM_TEXTS:
        raise ValueError(f"{number} {text} goes into no triangle: {pair.reason}")


def _check_composite(number: int | None, main: str) -> PairCheck:
    known = main in EUROPE_TEXTS.values() or _is_open(main)
    valid = known and (number is None or number in COMPOSITE_NUMBERS)
    reason = (
        f"C/{main} is a composite with {main} as its main material by mass (97/129/EC)."
        if valid
        else "A composite is C/ and its main material, numbered 80 to 98 (97/129/EC, annex VII)."
    )
    return PairCheck(valid=valid, systems=(EUROPE,) if valid else (), reason=reason)


def _is_open(text: str) -> bool:
    """Whether a text is a symbol or blend without a number of its own, so that 7 is left for it."""
    taken = {each for texts in ASTM_TEXTS.values() for each in texts} | {*EUROPE_TEXTS.values()}
    return text not in taken | RESINS.keys() and all(map(is_symbol, text.split("+")))


def _why_not(number: int | None, text: str) -> str:
    if number == OTHER:
        return f"7 is OTHER (ASTM D7611), or a symbol that has no number of its own; not {text}."
    if number in ASTM_TEXTS:
        texts = " or ".join(ASTM_TEXTS[number])
        return f"{number} is {texts} (ASTM D7611, 97/129/EC), not {text}."
    if number in EUROPE_TEXTS:
        return f"{number} is {EUROPE_TEXTS[number]} (97/129/EC), not {text}."
    return f"{number} is given to nothing; resins are numbered 1 to 7 (ASTM D7611, 97/129/EC)."


@dataclass(frozen=True)
class Advice:
    """A marking, whether it is `first`, `optional` or `not-for-this`, and the reasons."""

    marking: str
    use: str
    reasons: tuple[Sentence, ...]


def which_codes(
    *, is_packaging: bool, mass_g: float | None = None, surface_mm2: float | None = None
) -> tuple[Advice, ...]:
    """Return which of the three markings a thing needs, the first one first, with reasons.

    Mass in grams and surface in square millimetres of one piece, None where not known. The
    limits, 25 g or 200 mm2, are those of green procurement in the EU for ISO 11469, read in
    an encyclopaedia page on plastics symbols.

    >>> [(each.marking, each.use) for each in which_codes(is_packaging=False, mass_g=40)]
    [('ISO 11469', 'first'), ('ASTM D7611', 'optional'), ('97/129/EC', 'not-for-this')]
    """
    astm = Advice(
        ASTM,
        "optional",
        (Sentence("resin-is-no-promise"), Sentence("resin-local-law")),
    )
    if is_packaging:
        first = Advice(EUROPE, "first", (Sentence("packaging-first"),))
        return first, Advice("ISO 11469", "optional", (Sentence("mark-names-more"),)), astm
    reasons = (Sentence("mark-for-products"), _size_reason(mass_g, surface_mm2))
    no_packaging = Advice(EUROPE, "not-for-this", (Sentence("no-packaging"),))
    return Advice("ISO 11469", "first", reasons), astm, no_packaging


def _size_reason(mass_g: float | None, surface_mm2: float | None) -> Sentence:
    limits = {"mass": f"{MARK_FROM_G:g}", "surface": f"{MARK_FROM_MM2:g}"}
    if mass_g is None and surface_mm2 is None:
        return Sentence("mark-limits", **limits)
    if (mass_g or 0) >= MARK_FROM_G or (surface_mm2 or 0) >= MARK_FROM_MM2:
        return Sentence("mark-within-limits", **limits)
    if surface_mm2 is None:
        return Sentence("mark-below-by-mass", **limits)
    return Sentence("mark-below-by-surface" if mass_g is None else "mark-below-limits", **limits)


@dataclass(frozen=True)
class LabelWarning:
    """A code and a sentence on what should not stand on a label or a mould."""

    code: str
    sentence: str


def label_warnings(
    texts: Iterable[str], *, style: str = "solid", new_mould: bool = True
) -> tuple[LabelWarning, ...]:
    """Return what is wrong with the texts beside a resin code and with its triangle.

    The code is for identification: "recyclable" must not stand beside it. The triangle is solid
    since 2013; one of chasing arrows may stay in an old mould and not go into a new one
    (ASTM D7611, its scope and a summary of a later edition). "Recycled" is no such word.

    >>> [each.code for each in label_warnings(["100 % recyclable"], style="chasing")]
    ['recyclable', 'chasing-arrows']
    """
    warnings = []
    if any(PROMISE.search(text) for text in texts):
        sentence = 'The resin code is for identification: no "recyclable" beside it (ASTM D7611).'
        warnings.append(LabelWarning("recyclable", sentence))
    if style == CHASING and new_mould:
        sentence = "New moulds take a solid triangle; arrows may stay in old ones (ASTM D7611)."
        warnings.append(LabelWarning("chasing-arrows", sentence))
    return tuple(warnings)
