"""What the database itself refuses of bins."""

import pytest

from inventory.models import Bin
from tests.factories.book import broken
from tests.factories.inventory import BinFactory

pytestmark = pytest.mark.django_db


def test_bin_tare_not_negative():
    with broken("bin_tare_not_negative"):
        BinFactory(tare_mg=-1)


def test_bin_has_room():
    with broken("bin_has_room"):
        BinFactory(capacity_mg=0)


def test_a_bin_keeps_its_code_of_twelve_characters_for_life():
    bin = BinFactory()
    assert len(bin.code) == 12
    assert bin.get_absolute_url().endswith(f"/{bin.code}/")


def test_a_retired_bin_is_not_in_use():
    BinFactory(retired_at="2026-01-01T00:00Z")
    assert not Bin.objects.in_use().exists()
