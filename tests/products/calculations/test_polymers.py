"""Symbols of ISO 1043-1 and trade spellings, held together with the reference materials."""

import json
from pathlib import Path

import pytest

from products.calculations.polymers import (
    SPELLINGS,
    correct_spelling,
    is_symbol,
    polymer_name,
)

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference_materials.json"
KNOWN = json.loads(REFERENCE.read_text())["polymers"]
TRADE = [
    (spelling, polymer["symbol"])
    for polymer in KNOWN
    for spelling in polymer["spellings"]
    if spelling != "PVC"  # a symbol of ISO 1043-1 that leaves open which PVC; a delivery takes -U
]
OWN = [(spelling, symbol) for symbol, spellings in SPELLINGS.items() for spelling in spellings]


@pytest.mark.parametrize("polymer", KNOWN, ids=lambda polymer: polymer["symbol"])
def test_every_reference_polymer_is_a_symbol_with_the_same_name(polymer):
    symbol, _, letters = polymer["symbol"].partition("-")
    assert is_symbol(polymer["symbol"])
    assert polymer_name(symbol, letters) == polymer["name"]


@pytest.mark.parametrize(("spelling", "symbol"), TRADE)
def test_every_reference_spelling_is_corrected_the_same_way(spelling, symbol):
    assert correct_spelling(spelling)[0] == symbol


@pytest.mark.parametrize(("spelling", "symbol"), OWN)
def test_every_spelling_leads_to_a_symbol_and_is_none_itself(spelling, symbol):
    assert is_symbol(symbol)
    assert not is_symbol(spelling) or spelling == "E/VAC"
    assert correct_spelling(spelling)[0] == symbol
    assert correct_spelling(spelling)[1].startswith(f"{spelling} is ")


def test_no_spelling_is_listed_twice():
    folded = [spelling.casefold() for spelling, _symbol in OWN]
    assert len(folded) == len(set(folded))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("HDPE", "HDPE is written PE-HD in ISO 1043-1."),
        ("  nylon   6 ", "nylon 6 is written PA6 in ISO 1043-1."),
        ("eva", "eva is written EVAC in ISO 1043-1."),
        ("pe-ld", "pe-ld is written PE-LD in ISO 1043-1: in capitals."),
        ("E/VAC", "E/VAC is an older symbol; EVAC is written now (ISO 1043-1)."),
    ],
)
def test_a_correction_is_a_sentence(typed, sentence):
    assert correct_spelling(typed)[1] == sentence


@pytest.mark.parametrize("symbol", ["PE-HD", "PVC", "PC", "PET-G", "PA66", "nonsense", ""])
def test_symbols_and_nonsense_are_left_alone(symbol):
    assert correct_spelling(symbol) is None


@pytest.mark.parametrize("text", ["PE-", "-HD", "PE-QQ", "PE HD", "PE-HD-HD", ""])
def test_knows_what_is_no_symbol(text):
    assert not is_symbol(text)
