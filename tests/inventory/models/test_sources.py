"""What the database itself refuses of sources."""

import pytest

from tests.factories.book import broken
from tests.factories.inventory import SourceFactory

pytestmark = pytest.mark.django_db


def test_a_name_is_taken_once():
    SourceFactory(name="Harbour")
    with broken("inventory_source_name", "inventory_source.name"):
        SourceFactory(name="Harbour")
