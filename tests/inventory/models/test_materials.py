"""What the database itself refuses of polymers, blends and colours."""

import pytest
from django.utils import timezone

from inventory.models import Blend, Colour, Polymer
from tests.factories.book import broken
from tests.factories.inventory import polymer

pytestmark = pytest.mark.django_db


def blend(by, **changes):
    fields = {"main": polymer("PE-HD"), "added": polymer("PP"), "result": polymer("PS")}
    rest = {"reason": "trial", "switched_by": by, "switched_at": timezone.now()}
    return Blend.objects.create(**(fields | rest | changes))


@pytest.mark.parametrize("code", [0, 8])
def test_polymer_resin_code_is_1_to_7(code):
    with broken("polymer_resin_code_is_1_to_7"):
        Polymer.objects.create(symbol="X", name="x", resin_code=code)


@pytest.mark.parametrize(
    "densities", [(1.2, 1.1, 1.3), (1.0, 1.4, 1.3), (0, 1, 2), (1.0, None, 1.3), (None, 1.1, None)]
)
def test_polymer_densities_in_order(densities):
    low, typical, high = densities
    fields = {"density_low": low, "density_typical": typical, "density_high": high}
    with broken("polymer_densities_in_order"):
        Polymer.objects.create(symbol="X", name="x", **fields)


def test_blend_pair_once(operator):
    blend(operator)
    with broken("blend_pair_once", "inventory_blend.main_id, inventory_blend.added_id"):
        blend(operator, result=polymer("ABS"))


def test_blend_of_two(operator):
    with broken("blend_of_two"):
        blend(operator, added=polymer("PE-HD"))


@pytest.mark.parametrize("permille", [0, 1000])
def test_blend_share_below_all(operator, permille):
    with broken("blend_share_below_all"):
        blend(operator, most_added_permille=permille)


def test_colour_has_srgb_unless_mixed():
    with broken("colour_has_srgb_unless_mixed"):
        Colour.objects.create(name="moss")


def test_colour_mixed_once():
    with broken("colour_mixed_once", "inventory_colour.is_mixed"):
        Colour.objects.create(name="all sorts", is_mixed=True)


def test_a_polymer_is_marked_as_iso_11469_writes_it():
    assert polymer("PE-HD").mark == ">PE-HD<"
