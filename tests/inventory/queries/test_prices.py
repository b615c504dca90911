"""Money as people read it."""

from decimal import Decimal

import pytest

from inventory.queries.prices import price_said


@pytest.mark.parametrize(
    ("amount", "unit", "said"),
    [
        ("18.4000", "EUR/h", "18.40 EUR/h"),
        ("0.3412", "EUR/kWh", "0.3412 EUR/kWh"),
        ("1500.0000", "JPY", "1,500 JPY"),
        ("0.5", "KWD/kg", "0.500 KWD/kg"),
        ("0", "EUR", "0.00 EUR"),
        ("7E+3", "EUR", "7,000.00 EUR"),
    ],
)
def test_a_price_has_the_decimals_of_its_currency_and_loses_none_that_was_typed(amount, unit, said):
    """Minor units are those of ISO 4217: two of the euro, none of the yen, three of the Kuwaiti dinar."""
    assert price_said(Decimal(amount), unit).replace("\N{NO-BREAK SPACE}", " ") == said
