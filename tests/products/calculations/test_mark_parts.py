"""What a mark consists of, and its errors."""

import pytest

from products.calculations.fillers import Filler
from products.calculations.mark_parts import Constituent, Layer, MarkError, Recyclate
from products.calculations.sentences import RULES

GLASS = Filler("G", "F", 25)
MINERAL = Filler("M", "D", 15)
PA66 = (Constituent("PA66"),)


@pytest.mark.parametrize(
    ("layer", "text"),
    [
        (Layer(PA66), "PA66"),
        (Layer(PA66, (GLASS,)), "PA66-GF25"),
        (Layer(PA66, (GLASS, MINERAL)), "PA66-(GF25+MD15)"),
        (Layer(PA66, (Filler("G", "F"), Filler("M", "D")), 40), "PA66-(GF+MD)40"),
        (Layer(PA66, (GLASS,), flame_code=52), "PA66-GF25FR(52)"),
        (Layer(PA66, (Filler("G", "F"),), flame_code=52), "PA66-GF-FR(52)"),
        (Layer(PA66, flame_code=52), "PA66-FR(52)"),
        (Layer(PA66, recyclate=Recyclate()), "PA66(REC)"),
        (Layer(PA66, recyclate=Recyclate(100)), "PA66(REC100)"),
        (Layer((Constituent("PVC", "P", "DBP"),)), "PVC-P(DBP)"),
    ],
)
def test_a_layer_is_written_in_order(layer, text):
    assert str(layer) == text


@pytest.mark.parametrize("code", sorted(RULES.keys() - {"trade-spelling"}))
def test_every_rule_names_its_standard(code):
    error = MarkError(code, 0, found="X")
    assert "ISO 1" in error.rule
    assert error.rule.endswith(".")
