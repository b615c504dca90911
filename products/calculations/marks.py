"""Marks after ISO 11469 with the symbols of ISO 1043-1 to -4: read, written, explained, worked out.

A mark says what a part is made of to anyone who finds it: >PE-HD<, >PA66-(GF25+MD15)FR(52)<.
It is moulded or engraved, and replaces no product law (ISO 11469:2016).
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.additives import flame_sentence, plasticiser_sentence
from products.calculations.fillers import filler_sentence
from products.calculations.mark_parts import Constituent, Layer, Mark, MarkError, Recyclate
from products.calculations.mark_reading import read_mark
from products.calculations.polymers import CHARACTERISTICS, correct_spelling, polymer_name
from products.calculations.sentences import Sentence

LEAST_SHARE = 0.01  # by mass; common practice, no limit of a standard is known here
SMALLEST_SAID = 0.0001
SHARES_AGREE_TO = 9  # decimals; shares of a trace are good to about 1e-12

__all__ = [
    "LEAST_SHARE",
    "Mark",
    "MarkError",
    "MarkForLot",
    "build",
    "correct_spelling",
    "explain",
    "mark_for_shares",
    "parse",
]


def parse(text: str) -> Mark:
    """Return the tree of a mark; its text may not differ by a space from what is moulded.

    Raises MarkError with a code, the position from 0 and the rule broken. A hyphen between
    30 and FR in GF30FR(17) is read too, though `build` writes none. That polymers
    of a blend stand in descending mass is checked against the make-up, not the text.

    >>> parse(">PS-HI-GF20<").layers[0].fillers
    (Filler(kind='G', form='F', percent=20, metal=''),)
    >>> parse(">HDPE<")
    Traceback (most recent call last):
    ...
    products.calculations.mark_parts.MarkError: HDPE is written PE-HD in ISO 1043-1. (character 2)
    """
    return read_mark(text)


def build(mark: Mark) -> str:
    """Return the text of a mark.

    Raises MarkError, code `ambiguous`, when the text would be read as another mark (PP with the
    letters MD is a mineral powder), or the code of whatever its parts break.

    >>> build(Mark((Layer((Constituent("PC"), Constituent("ABS"))),)))
    '>PC+ABS<'
    """
    text = str(mark)
    if parse(text) != mark:
        raise MarkError("ambiguous", 0)
    return text


def explain(mark: Mark) -> list[Sentence]:
    """Return what a mark says, in plain sentences.

    >>> for sentence in explain(parse(">PS-HI-GF20<")):
    ...     print(sentence)
    PS-HI is polystyrene, high impact.
    HI: H high, I impact (ISO 1043-1).
    GF20 is glass fibre, 20 % by mass (ISO 1043-2).
    """
    sentences = []
    if len(mark.layers) > 1:
        parts = ", ".join(map(str, mark.layers))
        sentences.append(Sentence("laminate", parts=parts))
    for layer in mark.layers:
        sentences += _explain_layer(layer)
    return sentences


def _explain_layer(layer: Layer) -> list[Sentence]:
    sentences = []
    if len(layer.constituents) > 1:
        main, *others = map(str, layer.constituents)
        code = "blend" if len(others) == 1 else "blend-of-more"
        sentences.append(Sentence(code, main=main, others=", ".join(others)))
    for constituent in layer.constituents:
        sentences += _explain_constituent(constituent)
    sentences += map(filler_sentence, layer.fillers)
    if layer.fillers_percent:
        sentences.append(Sentence("fillers-together", percent=layer.fillers_percent))
    if layer.flame_code:
        sentences.append(flame_sentence(layer.flame_code))
    if layer.recyclate:
        sentences.append(_recyclate_sentence(layer.recyclate))
    return sentences


def _explain_constituent(constituent: Constituent) -> list[Sentence]:
    symbol, letters = constituent.symbol, constituent.characteristics
    written = f"{symbol}-{letters}" if letters else symbol
    sentences = [Sentence("polymer", symbol=written, name=polymer_name(symbol, letters))]
    if letters and set(letters) <= CHARACTERISTICS.keys():
        meanings = ", ".join(f"{letter} {CHARACTERISTICS[letter]}" for letter in letters)
        sentences.append(Sentence("characteristics", letters=letters, meanings=meanings))
    if constituent.plasticiser:
        sentences.append(plasticiser_sentence(constituent.plasticiser))
    return sentences


def _recyclate_sentence(recyclate: Recyclate) -> Sentence:
    if recyclate.percent:
        return Sentence("contains-recyclate", percent=recyclate.percent)
    return Sentence("contains-recyclate-without-share")


@dataclass(frozen=True)
class MarkForLot:
    """The mark of a lot, empty when there is none; symbols left out of it; sentences why."""

    text: str
    left_out: tuple[str, ...] = ()
    warnings: tuple[Sentence, ...] = ()


def mark_for_shares(shares: Mapping[str, float], *, least_share: float = LEAST_SHARE) -> MarkForLot:
    """Return the mark of a lot from its make-up by polymer, and never from what someone typed.

    `shares` are parts by mass of the lot, by symbol; they are taken relative to their sum. A
    symbol may itself be a blend, "PC+ABS"; beside other polymers its unrecorded halves
    count as equal and a warning says so. Polymers stand in descending mass (ISO 11469),
    equal ones by symbol. One below `least_share` (0 to 1) is left out of the mark: 1 % by
    mass, common practice. Plastic of unknown polymer (the empty symbol), a symbol
    that is none and fillers beside other material give no mark, with the reason.

    Raises ValueError for a negative share and for a least share outside 0 to 1.

    >>> mark_for_shares({"ABS": 0.3, "PC": 0.7}).text
    '>PC+ABS<'
    >>> mark_for_shares({"PE-HD": 0.995, "PP": 0.005}).left_out
    ('PP',)
    >>> mark_for_shares({"PP": 0.9, "": 0.1})
    MarkForLot(text='', left_out=(), warnings=('10 % of the mass is of unknown polymer: no mark.',))
    """
    if not 0 <= least_share < 1 or any(share < 0 for share in shares.values()):
        raise ValueError("shares are not negative, and the least share is from 0 to 1")
    total = sum(shares.values())
    present = {symbol: share / total for symbol, share in shares.items() if share}
    if not present:
        return MarkForLot("", warnings=(Sentence("no-material"),))
    if unknown := present.get(""):
        return MarkForLot("", warnings=(Sentence("unknown-share", share=_percent(unknown)),))
    try:
        layers = {symbol: _only_layer(symbol) for symbol in present}
    except MarkError as error:
        return MarkForLot("", warnings=(Sentence("no-mark", rule=error.rule),))
    if len(layers) == 1:
        return MarkForLot(build(Mark(tuple(layers.values()))))
    return _blend_mark(present, layers, least_share)


def _only_layer(symbol: str) -> Layer:
    layers = parse(f">{symbol}<").layers
    if len(layers) > 1:
        raise MarkError("unexpected", symbol.index(",") + 1, found=",")
    return layers[0]


def _blend_mark(
    present: dict[str, float], layers: dict[str, Layer], least_share: float
) -> MarkForLot:
    if any(layer != Layer(layer.constituents) for layer in layers.values()):
        return MarkForLot("", warnings=(Sentence("fillers-beside-others"),))
    masses, places = defaultdict(float), {}
    for symbol, share in present.items():
        constituents = layers[symbol].constituents
        for place, constituent in enumerate(constituents):
            masses[constituent] += share / len(constituents)
            places[constituent] = max(place, places.get(constituent, 0))
    ordered = sorted(
        masses, key=lambda each: (-round(masses[each], SHARES_AGREE_TO), places[each], str(each))
    )
    marked = [ordered[0]] + [
        each for each in ordered[1:] if round(masses[each], SHARES_AGREE_TO) >= least_share
    ]
    left_out = tuple(str(each) for each in ordered if each not in marked)
    warnings = [_halves(symbol) for symbol in sorted(present) if "+" in symbol]
    warnings += [
        _left_out(each, masses[each], least_share) for each in ordered if each not in marked
    ]
    return MarkForLot(build(Mark((Layer(tuple(marked)),))), left_out, tuple(warnings))


def _percent(share: float) -> Sentence:
    if share < SMALLEST_SAID:
        return Sentence("share-tiny")
    return Sentence("share", percent=f"{100 * share:.3g}")


def _halves(symbol: str) -> Sentence:
    return Sentence("halves", symbol=symbol)


def _left_out(constituent: Constituent, share: float, least_share: float) -> Sentence:
    facts = {"share": _percent(share), "least": _percent(least_share)}
    return Sentence("left-out", symbol=str(constituent), **facts)
