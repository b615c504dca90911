"""Questions about marks: what a lot is marked with, and what a part of a design must say."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from inventory.models import Lot, Polymer
from inventory.queries.make_ups import shares_of_lots
from products.calculations.marks import MarkError, MarkForLot, explain, mark_for_shares, parse
from products.calculations.resin_codes import (
    Advice,
    ResinCode,
    label_warnings,
    packaging_code,
    resin_code,
    which_codes,
)
from products.calculations.sentences import Sentence
from products.models import Design
from products.queries.sentences import said

MG_PER_G = 1000
SAID = ("name", "note", "care", "repair", "spare_parts", "taking_apart")


@dataclass(frozen=True)
class Marking:
    """A mark with what it says and the two resin codes that go with it."""

    text: str
    sentences: list[Sentence]
    resin: ResinCode | None
    packaging: ResinCode | None
    warnings: tuple[Sentence, ...] = ()


@dataclass(frozen=True)
class DesignMarking:
    """What a part of a design must say: a marking for each polymer allowed, and which codes it needs."""

    markings: list[Marking]
    advice: tuple[Advice, ...]
    promises: bool


def marking_of(mark: MarkForLot) -> Marking:
    """Return a mark with its explanation and codes; an empty mark has neither, only warnings."""
    if not mark.text:
        return Marking("", [], None, None, mark.warnings)
    symbol = symbol_of(mark.text)
    sentences = explain(parse(mark.text))
    return Marking(mark.text, sentences, resin_code(symbol), packaging_code(symbol), mark.warnings)


def symbol_of(text: str) -> str:
    """Return what stands between the brackets of a mark."""
    return text[1:-1]


def mark_of_lot(lot: Lot) -> MarkForLot:
    """Return the mark of a lot, from its make-up by polymer."""
    return mark_for_shares(shares_of_lots([lot])[lot.pk].by_polymer)


def mark_of_polymer(polymer: Polymer) -> Marking:
    """Return the marking of a polymer on its own."""
    try:
        return marking_of(MarkForLot(str(parse(polymer.mark))))
    except MarkError as error:
        return Marking("", [], None, None, (error.sentence,))


def spoken(marking: Marking) -> Marking:
    """Return a marking with its sentences in the reader's language."""
    return replace(
        marking,
        sentences=[said(each) for each in marking.sentences],
        warnings=tuple(said(each) for each in marking.warnings),
    )


def marking_of_design(design: Design) -> DesignMarking:
    """Return what a part of a design must say; without allowed polymers it follows the lot."""
    polymers: list[Polymer] = list(design.polymers.all())
    advice = which_codes(
        is_packaging=design.is_packaging,
        mass_g=design.nominal_mass_mg / MG_PER_G,
        surface_mm2=design.surface_mm2,
    )
    return DesignMarking(
        markings=[spoken(mark_of_polymer(polymer)) for polymer in polymers],
        advice=tuple(replace(each, reasons=tuple(map(said, each.reasons))) for each in advice),
        promises=bool(label_warnings(getattr(design, name) for name in SAID)),
    )


def mark_of_shares(by_polymer: Mapping[str, float]) -> str:
    """Return the text of a mark for shares by polymer, empty when there is none."""
    return mark_for_shares(by_polymer).text
