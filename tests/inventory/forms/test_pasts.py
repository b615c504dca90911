"""Which moment is meant by a day or a minute."""

from datetime import UTC, date, timedelta

import pytest

from inventory.forms.pasts import MomentField
from inventory.queries.flows import midnight


# The last hour of 29 October 2026 comes twice in Cairo: clocks go back at its midnight (IANA tzdata).
@pytest.mark.parametrize("zone", ["Africa/Cairo", "Europe/Berlin", "UTC"])
@pytest.mark.parametrize("day", [date(2026, 10, 25), date(2026, 10, 29), date(2026, 3, 29)])
def test_a_day_means_its_very_end(settings, zone, day):
    settings.TIME_ZONE = zone
    end, following = MomentField().clean(day.isoformat()), midnight(day + timedelta(days=1))
    assert following.astimezone(UTC) - end.astimezone(UTC) == timedelta(microseconds=1)
