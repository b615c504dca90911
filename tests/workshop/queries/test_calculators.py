"""What the desk knows of polymers, own figures in the place of the reference, and how answers are said."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.actions.own_figures import return_to_reference, set_own_figure
from products.calculations.calculators import Answer, Note
from tests.factories.inventory import make_act, polymer
from workshop.calculations.catalogue import BY_NAME, CALCULATORS
from workshop.queries.calculators import Filled, note_said, output_lines, polymer_facts, rounded

pytestmark = pytest.mark.django_db


def put(by, name, **ends):
    ends = {end: Decimal(str(value)) for end, value in ends.items()}
    return set_own_figure(polymer=polymer("PP"), name=name, ends=ends, act=make_act(by, "sheet"))


def figures():
    return polymer_facts()["PP"].figures


def test_an_own_figure_stands_in_the_place_of_the_reference(lead):
    put(lead, "mould-shrinkage", low=1.4, typical=1.6, high=1.7)
    found = figures()
    assert [found[f"mould-shrinkage{end}"].value for end in ("", ":low", ":high")] == [
        1.6,
        1.4,
        1.7,
    ]
    assert found["youngs-modulus"].since is None


def test_an_own_figure_says_since_when(lead):
    row = put(lead, "density", typical=0.91)
    figure = figures()["density"]
    assert (figure.basis, figure.since) == ("own", row.happened_at)
    assert Filled("PP", figure).said.startswith("PP, own value since ")


def test_an_own_ceiling_holds_at_the_desk(lead):
    put(lead, "fume-above", typical=240)
    assert (figures()["fume-above"].value, figures()["fume-above"].basis) == (240, "own")


def test_a_window_of_its_own_stands_in_the_place_of_the_reference(lead):
    put(lead, "press-platen", low=185, high=205)
    found = figures()
    ends = found["press-platen:low"], found["press-platen:high"]
    assert [(each.value, each.basis) for each in ends] == [(185, "own"), (205, "own")]
    assert "press-platen" not in found


def test_back_to_the_reference_holds_at_the_desk_too(lead):
    put(lead, "density", typical=0.91)
    act = make_act(lead, "other batch")
    return_to_reference(polymer=polymer("PP"), name="density", act=act)
    assert (figures()["density"].value, figures()["density"].since) == (0.905, None)


def test_every_polymer_takes_two_queries(django_assert_num_queries):
    with django_assert_num_queries(2):
        polymer_facts()


def said(calculator, **values):
    answer = Answer({each.name: None for each in calculator.outputs} | values)
    return {
        line.name: line.said.replace("\u00a0", " ") for line in output_lines(calculator, answer)
    }


@pytest.mark.parametrize(
    ("name", "output", "value", "expected"),
    [
        # a time that is needed, a force that is needed and what a scale leaves open go up
        ("cooling", "average_most_s", 11.4, "12 s"),
        ("cooling", "average_least_s", 5.19, "5.1 s"),
        ("cooling", "centre_most_s", 1206, "1,300 s"),
        ("charge-heating", "usual_min", 5.931, "5.94 min"),
        ("force", "force_kn", 1000.1, "1,001 kN"),
        ("force", "spare_percent", -0.01001, "−0.0101 %"),
        ("tolerance", "tolerance_g", 18.21, "18.3 g"),
        # what there is, and what is saved, goes down
        ("shot-capacity", "by_usual_g", 173.99, "173 g"),
        ("hollow", "saved_kg", 0.8119, "0.811 kg"),
        ("hollow", "strength_percent", 59.06, "59.0 %"),
        # what lies on neither side goes to the nearest
        ("blend", "g_cm3", 0.94422, "0.9442 g/cm³"),
        # what floats are off by is no reason to round away
        ("force", "force_kn", 1000 * (1 + 1e-15), "1,000 kN"),
        ("shot-capacity", "by_usual_g", 173 * (1 - 1e-15), "173 g"),
    ],
)
def test_rounding_makes_no_figure_better_than_it_is(name, output, value, expected):
    """ISO 80000-1, annex B: with a limit in view it may be right to round to one side always (from memory)."""
    assert said(BY_NAME[name], **{output: value})[output] == expected


@pytest.mark.parametrize(
    ("g_cm3", "expanded", "expected", "around"),
    [
        (1.0498926, 0.0000579, "1.049893 g/cm³", "0.000058 g/cm³"),
        (1.0498926, 0.0061, "1.0499 g/cm³", "0.0061 g/cm³"),
        (1.0498926, 0.0602, "1.050 g/cm³", "0.061 g/cm³"),
    ],
)
def test_a_density_ends_with_the_last_digit_of_its_uncertainty(g_cm3, expanded, expected, around):
    """JCGM 100, 7.2.6: U to two digits, and rather up; the figure is rounded to be consistent with it."""
    found = said(BY_NAME["density"], g_cm3=g_cm3, expanded_g_cm3=expanded)
    assert (found["g_cm3"], found["expanded_g_cm3"]) == (expected, around)


@given(st.floats(1e-9, 1e12), st.integers(1, 6))
def test_up_and_down_lie_around_a_figure_and_one_digit_apart(value, digits):
    exact = Decimal(f"{value:.12g}")
    low, high = (rounded(value, digits, way) for way in ("down", "up"))
    assert low <= exact <= high
    assert high - low <= exact * Decimal(10) ** (1 - digits)


def test_every_way_of_rounding_is_one_that_is_known():
    outputs = [each for calculator in CALCULATORS for each in calculator.outputs]
    assert {each.rounds for each in outputs} == {"", "up", "down"}
    bands = [(c, each) for c in CALCULATORS for each in c.outputs if each.ends]
    for calculator, each in bands:
        ways = {end.name: end.rounds for end in calculator.outputs if end.name in each.ends}
        assert [ways[end] for end in each.ends] == ["down", "up"]


@pytest.mark.parametrize(
    ("name", "note", "expected"),
    [
        ("press-heat", Note("fumes", {"heat": 280.4, "ceiling": 280}), "280.4 °C is above 280 °C"),
        ("press-heat", Note("fumes", {"heat": 281, "ceiling": 280}), "281 °C is above 280 °C"),
        (
            "force",
            Note("too-weak", {"force": 1000.0, "most": 999.9}),
            "It takes 1,000 kN and the press gives only 999.9 kN",
        ),
    ],
)
def test_two_figures_that_differ_do_not_read_alike(name, note, expected):
    assert note_said(BY_NAME[name], note).startswith(expected)
