"""What the database itself refuses of rounds and their stops."""

import pytest
from django.utils import timezone

from inventory.models import Round, Stop
from tests.factories.book import broken
from tests.factories.inventory import BinFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stop(operator):
    walk = Round.objects.create(started_at=timezone.now(), started_by=operator)
    return Stop.objects.create(round=walk, bin=BinFactory(), position=1)


def test_a_round_has_a_number_and_is_open_until_finished(stop):
    assert stop.round.number == f"C-{stop.round.pk:04d}"
    assert list(Round.objects.open()) == [stop.round]


def test_stop_once_per_round(stop):
    with broken("stop_once_per_round", "inventory_stop.round_id, inventory_stop.bin_id"):
        Stop.objects.create(round=stop.round, bin=stop.bin, position=2)


def test_stop_skipped_with_reason(stop, operator):
    stop.skipped_at, stop.skipped_by = timezone.now(), operator
    with broken("stop_skipped_with_reason"):
        stop.save()
