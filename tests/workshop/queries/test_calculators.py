"""What the desk knows of polymers: the reference's figures, and the workshop's own in their place."""

from decimal import Decimal

import pytest

from inventory.actions.own_figures import return_to_reference, set_own_figure
from tests.factories.inventory import make_act, polymer
from workshop.queries.calculators import Filled, polymer_facts

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


def test_a_window_of_its_own_is_no_figure_of_the_desk(lead):
    before = set(figures())
    put(lead, "press-platen", low=185, high=205)
    assert set(figures()) == before


def test_back_to_the_reference_holds_at_the_desk_too(lead):
    put(lead, "density", typical=0.91)
    act = make_act(lead, "other batch")
    return_to_reference(polymer=polymer("PP"), name="density", act=act)
    assert (figures()["density"].value, figures()["density"].since) == (0.905, None)


def test_every_polymer_takes_two_queries(django_assert_num_queries):
    with django_assert_num_queries(2):
        polymer_facts()
