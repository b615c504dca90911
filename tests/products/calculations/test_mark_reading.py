"""The tree that a mark is read into. Texts: ISO 11469 and ISO 1043 as in the tests of marks."""

import pytest

from products.calculations.fillers import Filler
from products.calculations.mark_parts import Constituent, Layer, Mark, Recyclate
from products.calculations.mark_reading import read_mark


@pytest.mark.parametrize(
    ("text", "layer"),
    [
        (">PE-HD<", Layer((Constituent("PE", "HD"),))),
        (">PVC-U<", Layer((Constituent("PVC", "U"),))),
        (">PC+ABS<", Layer((Constituent("PC"), Constituent("ABS")))),
        (">PVC-P(DBP)<", Layer((Constituent("PVC", "P", "DBP"),))),
        (">PS-HI-GF20<", Layer((Constituent("PS", "HI"),), (Filler("G", "F", 20),))),
        (
            ">PA66-(GF25+MD15)FR(52)<",
            Layer(
                (Constituent("PA66"),),
                (Filler("G", "F", 25), Filler("M", "D", 15)),
                flame_code=52,
            ),
        ),
        (
            ">PARA-(CF+MEF(x))<",
            Layer((Constituent("PARA"),), (Filler("C", "F"), Filler("ME", "F", metal="x"))),
        ),
        (">ABS(REC30)<", Layer((Constituent("ABS"),), recyclate=Recyclate(30))),
        (">PVC-U-FR(17)<", Layer((Constituent("PVC", "U"),), flame_code=17)),
    ],
)
def test_each_part_of_a_mark_has_its_place(text, layer):
    assert read_mark(text) == Mark((layer,))


def test_commas_part_the_layers_of_a_laminate():
    layers = read_mark(">PVC,PUR,ABS<").layers
    assert [str(layer) for layer in layers] == ["PVC", "PUR", "ABS"]


def test_additives_belong_to_the_whole_blend():
    layer = read_mark(">PC+ABS-GF10FR(40)<").layers[0]
    assert [str(each) for each in layer.constituents] == ["PC", "ABS"]
    assert (layer.fillers, layer.flame_code) == ((Filler("G", "F", 10),), 40)


def test_a_long_text_is_refused_without_delay():
    with pytest.raises(ValueError, match="1043"):
        read_mark(">" + "P-" * 2_000 + "<")
