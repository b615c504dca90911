"""The form of the calculators: what each box refuses and in which words."""

import pytest

from products.calculations.calculators import Input
from workshop.calculations.catalogue import CALCULATORS
from workshop.forms.calculators import CalculatorForm, help_of

NUMBERS = [
    (calculator, each)
    for calculator in CALCULATORS
    for each in calculator.inputs
    if each.kind in {"number", "whole"}
]
each_calculator = pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda each: each.name)


def error_of(calculator, each, typed):
    form = CalculatorForm(calculator, {}, {each.name: typed})
    form.is_valid()
    return form.errors.get(each.name, [""])[0]


def errors_of(calculator, typed):
    """Return what a form says at each box for numbers; the same is typed into all, or a figure for each."""
    numbers = [each for each in calculator.inputs if each.kind in {"number", "whole"}]
    figures = typed if isinstance(typed, dict) else {each.name: typed for each in numbers}
    form = CalculatorForm(calculator, {}, figures)
    form.is_valid()
    return {each.name: form.errors.get(each.name, [""])[0] for each in numbers}


@each_calculator
def test_every_box_names_its_range_when_a_figure_is_beyond_it(calculator):
    numbers = [each for each in calculator.inputs if each.kind in {"number", "whole"}]
    below = {each.name: f"{each.least - 1 - abs(each.least):f}" for each in numbers}
    above = {each.name: f"{each.most + 1 + abs(each.most):f}" for each in numbers}
    said = errors_of(calculator, below)
    assert said == errors_of(calculator, above) == errors_of(calculator, "much")
    assert [name for name, words in said.items() if not words.startswith("Enter a ")] == []


def test_a_whole_number_is_asked_for():
    calculator, each = next(pair for pair in NUMBERS if pair[1].kind == "whole")
    assert error_of(calculator, each, "1.5").startswith("Enter a whole number from 1")


@each_calculator
@pytest.mark.parametrize("typed", ["nan", "inf", "-inf", "1e400"])
def test_what_is_no_figure_of_this_world_is_refused_at_its_box(calculator, typed):
    said = errors_of(calculator, typed)
    assert [name for name, words in said.items() if not words.startswith("Enter a ")] == []


@pytest.mark.parametrize(
    "typed", ["3." + "0" * 60 + "e9", "3" + " " * 60 + "mm", "3." + "0" * 60 + "5", "3_0"]
)
def test_a_figure_is_read_to_its_end_or_refused(typed):
    calculator, each = next(p for p in NUMBERS if p[1].name == "kerf_mm")
    assert error_of(calculator, each, typed).startswith("Enter a number")


def test_per_cent_stands_in_a_refusal_as_it_is_read():
    calculator, each = next(p for p in NUMBERS if p[1].name == "regrind_percent")
    assert error_of(calculator, each, "100").replace("\N{NO-BREAK SPACE}", " ") == (
        "Enter a number from 0 % to 99 %."
    )


@pytest.mark.parametrize("typed", ["3,5", "3.5", " 3.5 "])
def test_either_decimal_mark_is_understood(typed):
    calculator, each = next(p for p in NUMBERS if p[1].name == "kerf_mm")
    form = CalculatorForm(calculator, {}, {each.name: typed, "density_g_cm3": "1", "polymer": ""})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["kerf_mm"] == 3.5


def test_a_start_value_says_on_what_it_rests():
    asked = Input("x", "X", basis="memory", help="Weigh it.")
    assert help_of(asked) == "Weigh it. Start value: from memory: confirm it."
