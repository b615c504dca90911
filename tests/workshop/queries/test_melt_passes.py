"""Melt passes against a limit, as they are told."""

import pytest

from inventory.calculations.melt_passes import PassFigures
from inventory.templatetags.quantities import percent
from products.calculations.pass_limits import PassLimit
from workshop.queries.melt_passes import PassesNow


@pytest.mark.parametrize(
    ("share", "is_above", "told"),
    [(0.2, False, "20.0"), (0.20001, True, "20.1"), (0.1999, False, "20.0"), (0.0, False, "0.0")],
)
def test_what_is_above_a_limit_reads_above_it(share, is_above, told):
    """A limit of 20 %: to the nearest, 20.001 % would be "above the limit: 20.0 %, and 20 % may be"."""
    found = PassesNow(PassFigures(0.5, 3, ((3, share),)), PassLimit(3, 20))
    assert (found.is_above, percent(found.told_share)) == (is_above, f"{told}\u00a0%")
