"""Durations in words."""

import pytest

from inventory.queries.durations import duration_said
from inventory.templatetags.quantities import duration


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (-3, "0 s"),
        (0, "0 s"),
        (44.6, "45 s"),
        (59.6, "1 min"),
        (120, "2 min"),
        (667, "11 min 7 s"),
        (3599.6, "1 h"),
        (3725, "1 h 2 min"),
        (7199, "2 h"),
        (90_000, "25 h"),
    ],
)
def test_a_duration_has_units(seconds, said):
    assert duration_said(seconds).replace("\xa0", " ") == said
    assert duration(seconds) == duration_said(seconds)


def test_what_is_not_known_is_a_dash():
    assert duration(None) == "–"
