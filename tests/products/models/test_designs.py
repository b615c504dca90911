"""What the database itself refuses of designs."""

import pytest

from tests.factories.book import broken
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


def test_design_has_mass():
    with broken("design_has_mass"):
        DesignFactory(nominal_mass_mg=0)


def test_design_makes_pieces():
    with broken("design_makes_pieces"):
        DesignFactory(pieces_per_cycle=0)
