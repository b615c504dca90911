"""What the database itself refuses of designs."""

import pytest

from products.models import Design
from tests.factories.book import broken
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


def test_design_has_mass():
    with broken("design_has_mass"):
        DesignFactory(nominal_mass_mg=0)


def test_design_makes_pieces():
    with broken("design_makes_pieces"):
        DesignFactory(pieces_per_cycle=0)


@pytest.mark.parametrize(("times", "percent"), [(3, None), (None, 20), (0, 20), (10, 20), (3, 100)])
def test_a_pass_limit_is_whole(times, percent):
    with broken("design_pass_limit_whole"):
        DesignFactory(passes_from=times, passes_most_percent=percent)


def test_design_size_whole():
    DesignFactory()
    for wrong in ({"length_um": 5}, {"width_um": 5}, {"length_um": 0, "width_um": 5}):
        with broken("design_size_whole"):
            Design.objects.update(**wrong)
