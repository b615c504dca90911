"""Which steps there are, and how many pieces a cycle gives."""

import pytest

from products.models import Operation
from workshop.calculations.steps import STEPS, pieces_per_cycle
from workshop.models import Step


def test_every_operation_has_steps_and_each_has_a_word():
    assert STEPS.keys() == set(Operation.values)
    assert {name for names in STEPS.values() for name in names} == set(Step.Name.values)


@pytest.mark.parametrize(
    ("cavities", "of_design", "pieces"),
    [(4, 1, 4), (4, 6, 4), (1, 6, 6), (None, 6, 6), (None, None, 1), (1, None, 1)],
)
def test_the_cavities_of_the_tooling_count_before_the_design(cavities, of_design, pieces):
    assert pieces_per_cycle(cavities, of_design) == pieces
