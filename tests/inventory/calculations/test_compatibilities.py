"""The chart against cells typed here from memory of the same handbook, row by row, and the shop's rules.

Usual handbook: the compatibility matrix of VDI 2243. That PVC gives PET brittle, yellow parts at trace
level is from the TU Delft open course page on sorting; that PVC and POM react violently from training
notes of a moulding firm.
"""

import json
from pathlib import Path

import pytest

from inventory.calculations.compatibilities import CHART, COLUMNS, GROUPS, compatibility, partners

FILE = Path(__file__).resolve().parents[3] / "fixtures" / "reference_materials.json"
SYMBOLS = [row["symbol"] for row in json.loads(FILE.read_text())["polymers"]]
HARMLESS = [symbol for symbol in SYMBOLS if symbol not in {"PVC-U", "POM"}]


def test_the_chart_is_square_and_its_diagonal_usable():
    assert list(CHART) == list(COLUMNS)
    assert {len(row) for row in CHART.values()} == {len(COLUMNS)}
    assert {CHART[name][COLUMNS.index(name)] for name in COLUMNS} == {"+"}


def test_every_group_of_the_chart_has_a_polymer_of_the_reference():
    assert set(GROUPS.values()) == set(COLUMNS)
    assert set(GROUPS) <= set(SYMBOLS)


@pytest.mark.parametrize("symbol", HARMLESS)
@pytest.mark.parametrize("reject", ["PVC-U", "POM"])
def test_reject_material_never_meets_anything(symbol, reject):
    assert compatibility(symbol, reject) == compatibility(reject, symbol) == "never"


def test_pvc_and_pom_never_meet():
    assert compatibility("PVC-U", "POM") == compatibility("POM", "PVC-U") == "never"


@pytest.mark.parametrize(
    ("main", "added", "word"),
    [
        ("PP", "PE-HD", "limited"),
        ("PE-HD", "PE-LLD", "usable"),
        ("PS", "PS-HI", "usable"),
        ("ABS", "SAN", "usable"),
        ("PC", "ABS", "usable"),
        ("PA6", "PA66", "usable"),
        ("PS", "ABS", "limited"),
        ("PP", "PS", "apart"),
        ("PET", "PP", "apart"),
        ("PET", "PET-G", "apart"),
        ("PET", "PLA", "apart"),
        ("PBT", "PET", "apart"),
        ("PP", "TPU", "unknown"),
    ],
)
def test_a_pair_is_as_the_chart_says(main, added, word):
    assert compatibility(main, added) == word


def test_partners_leave_out_the_polymer_itself():
    found = partners("PP", SYMBOLS)
    assert sorted(symbol for symbols in found.values() for symbol in symbols) == sorted(
        set(SYMBOLS) - {"PP"}
    )
