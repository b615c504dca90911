"""What the database itself refuses of scales, and masses that remember how they were known."""

import pytest

from inventory.models import Mass
from tests.factories.book import broken
from tests.factories.inventory import KG, ScaleFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("resolution_mg", [0, -1, KG, KG + 1])
def test_scale_resolution_below_capacity(resolution_mg):
    with broken("scale_resolution_below_capacity"):
        ScaleFactory(capacity_mg=KG, resolution_mg=resolution_mg)


def test_a_mass_without_a_scale_counts_as_typed():
    assert Mass.weighed(KG, None) == Mass(KG)


def test_a_weighed_mass_carries_the_uncertainty_of_its_scale():
    """d = 10 g: u = d / (2 sqrt 3) = 2.8867513 g (JCGM 100, 4.3.7), rounded up to the microgram."""
    mass = Mass.weighed(KG, ScaleFactory())
    assert (mass.basis, mass.uncertainty_ug) == ("weighed", 2_886_752)
