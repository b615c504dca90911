"""The catalogue of the desk: every declaration is whole, and no input within its range breaks one."""

import collections
import json
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.calculations.properties import figures_of
from products.calculations.calculators import BASES, STEPS, Impossible
from workshop.calculations.catalogue import BY_NAME, CALCULATORS, by_step

FILE = Path(__file__).resolve().parents[3] / "fixtures" / "reference_materials.json"
POLYMERS = {row["symbol"]: row for row in json.loads(FILE.read_text())["polymers"]}
each_calculator = pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda each: each.name)


def figures(symbol):
    row = POLYMERS[symbol]
    densities = {"density": "typical", "density:low": "low", "density:high": "high"}
    values = {name: float(row[f"density_{end}"]) for name, end in densities.items()}
    values |= {"fume-above": row["fume_above_c"]}
    for name, (low, high, _keys) in row["windows"].items():
        values |= {f"{name}:low": low, f"{name}:high": high}
    return values | {name: each.value for name, each in figures_of(row["properties"]).items()}


def usual(calculator):
    """What the calculator is asked at first, with the figures of the polymers chosen then."""
    given = {each.name: each.default for each in calculator.inputs}
    for each in calculator.inputs:
        if each.filled_by and given[each.polymer]:
            given[each.name] = figures(given[each.polymer]).get(each.filled_by)
    return given


def test_names_are_told_apart():
    assert len(BY_NAME) == len(CALCULATORS)


def test_every_calculator_stands_in_a_step():
    assert {each for _title, found in by_step() for each in found} == set(CALCULATORS)


@each_calculator
def test_a_declaration_is_whole(calculator):
    assert set(calculator.steps) <= set(STEPS)
    assert calculator.formula
    assert calculator.symbols
    assert calculator.sources
    assert {each.basis for each in calculator.sources + calculator.inputs} <= set(BASES)
    assert any(each.is_main for each in calculator.outputs)
    names = [each.name for each in calculator.inputs]
    assert len(set(names)) == len(names)


@each_calculator
def test_every_sentence_can_be_filled_and_reads_well(calculator):
    for sentence in calculator.notes.values():
        filled = sentence % collections.defaultdict(lambda: "7")
        assert filled.endswith(".")
        assert "%%" not in filled


@each_calculator
def test_numbers_have_a_range_that_holds_their_default(calculator):
    numbers = [each for each in calculator.inputs if each.kind in {"number", "whole"}]
    assert [each.name for each in numbers if each.least is None or each.most is None] == []
    shown = [each for each in numbers if each.default is not None]
    assert [each.name for each in shown if not each.least <= each.default <= each.most] == []


@each_calculator
def test_the_figures_of_every_polymer_lie_in_the_ranges(calculator):
    for each in calculator.inputs:
        known = [figures(symbol).get(each.filled_by) for symbol in POLYMERS]
        values = [value for value in known if value is not None and each.filled_by]
        assert [v for v in values if not each.least <= v <= each.most] == [], each.name


@each_calculator
def test_the_first_question_has_its_answers(calculator):
    answer = calculator.answer(usual(calculator))
    assert [each.name for each in calculator.outputs if each.name not in answer.values] == []
    main = [answer.values[each.name] for each in calculator.outputs if each.is_main]
    assert None not in main


HEATS = {"shot-capacity": "melt_c", "charge-heating": "platen_c", "press-heat": "end_c"}
HEATS |= {"bend": "face_c"}


@pytest.mark.parametrize(("name", "box"), HEATS.items())
@pytest.mark.parametrize(("over", "codes"), [(0, set()), (1, {"fumes"})])
def test_what_is_hotter_than_the_fume_ceiling_is_noted(name, box, over, codes):
    calculator = BY_NAME[name]
    given = usual(calculator)
    found = calculator.answer(given | {box: given["fume_above_c"] + over})
    assert {note.code for note in found.notes} & {"fumes"} == codes


@pytest.mark.parametrize(
    ("name", "box", "window"),
    [
        ("bend", "end_c", (143, 160)),  # PMMA: second forming temperature table
        (
            "charge-heating",
            "platen_c",
            (170, 200),
        ),  # PE-HD: International Plastics Handbook, from memory
        ("shot-capacity", "melt_c", (204, 260)),  # PP: general injection processing guideline table
    ],
)
@pytest.mark.parametrize(("off", "codes"), [(0, set()), (1, {"out-of-window"})])
def test_a_heat_outside_of_the_usual_window_is_noted(name, box, window, off, codes):
    calculator = BY_NAME[name]
    given = usual(calculator) | {"face_c": 250, "end_c": 150}
    for heat in (window[0] - off, window[1] + off):
        notes = calculator.answer(given | {box: heat}).notes
        assert {note.code for note in notes} & {"out-of-window"} == codes


def boxes(each):
    """Values that the form lets through into a box."""
    if each.kind == "choice":
        return st.sampled_from([value for value, _label in each.choices])
    if each.kind == "polymer":
        return st.sampled_from(["", "PE-HD"])
    if each.kind == "text":
        return st.sampled_from(["", "0,0 40,0 40,20", "#336699", "1"]) | st.text(max_size=12)
    values = st.floats(each.least, each.most, allow_nan=False)
    if each.kind == "whole":
        values = st.integers(math.ceil(each.least), math.floor(each.most)).map(float)
    return values | st.sampled_from([each.least, each.most])


@each_calculator
@settings(max_examples=60)
@given(data=st.data())
def test_no_input_within_the_ranges_breaks_a_calculator(calculator, data):
    given_values = {
        each.name: data.draw(st.none() | boxes(each) if each.is_optional else boxes(each))
        for each in calculator.inputs
    }
    answer = told(calculator, given_values)
    if isinstance(answer, Impossible):
        assert answer.code in calculator.notes
        assert answer.at in {"", *given_values}
        return
    numbers = [answer.values[each.name] for each in calculator.outputs]
    assert all(math.isfinite(n) for n in numbers if isinstance(n, int | float))
    assert {note.code for note in answer.notes} <= set(calculator.notes)
    assert all(calculator.notes[note.code] % note.facts for note in answer.notes)


def told(calculator, given_values):
    try:
        return calculator.answer(given_values)
    except Impossible as error:
        return error
