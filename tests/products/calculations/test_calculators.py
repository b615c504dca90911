"""What a calculator is: notes only where they hold, reject material kept from heat."""

import pytest

from products.calculations.calculators import BATH, BLADE, HEATER, NO_LOAD, PRESS, Calculator, noted


def test_only_notes_that_hold_go_along():
    found = noted((True, "deep", {"depth": 3.0}), (False, "thin", {}))
    assert [(note.code, dict(note.facts)) for note in found] == [("deep", {"depth": 3.0})]


@pytest.mark.parametrize(
    ("caution", "is_heated"),
    [(PRESS, True), (HEATER, True), (BLADE, False), (NO_LOAD, False), (BATH, False), ("", False)],
)
def test_reject_material_is_kept_from_what_is_heated(caution, is_heated):
    empty = {"steps": (), "inputs": (), "outputs": (), "formula": (), "symbols": (), "sources": ()}
    made = Calculator(name="x", title="", question="", answer=None, caution=caution, **empty)
    assert made.is_heated is is_heated
