"""What the database keeps of windows, and how they read."""

from decimal import Decimal

import pytest

from products.models import Window
from products.models.windows import window_in_words
from tests.factories.book import broken
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
SPACE = "\N{NO-BREAK SPACE}"


def add(design=None, **fields):
    full = {"design": design or DesignFactory(), "quantity": "platen", "low": 170, "high": 200}
    return Window.objects.create(**(full | fields))


def test_a_quantity_has_one_window():
    design = add().design
    with broken("window_once_per_quantity", "products_window.design_id, products_window.quantity"):
        add(design)


def test_a_window_has_an_end():
    with broken("window_has_an_end"):
        add(low=None, high=None)


def test_a_window_is_in_order():
    with broken("window_in_order"):
        add(low=201)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ("190.00", "230.50", f"190 to 230.5{SPACE}°C"),
        ("-10", None, f"at least \N{MINUS SIGN}10{SPACE}°C"),
        (None, "1200", f"at most 1,200{SPACE}°C"),
        (None, None, ""),
    ],
)
def test_a_window_in_words(low, high, words):
    ends = [end and Decimal(end) for end in (low, high)]
    assert window_in_words(*ends, "°C") == words
