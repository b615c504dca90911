"""What the database itself refuses of tooling and purges."""

import pytest
from django.utils import timezone

from tests.factories.book import broken
from tests.factories.workshop import MachineFactory, ToolingFactory
from workshop.models import Purge

pytestmark = pytest.mark.django_db


def test_tooling_has_a_cavity():
    with broken("tooling_has_a_cavity"):
        ToolingFactory(cavities=0)


def test_purge_says_how(operator):
    with broken("purge_says_how"):
        Purge.objects.create(
            machine=MachineFactory(), happened_at=timezone.now(), by=operator, note=""
        )


def test_machine_takes_something():
    with broken("machine_takes_something"):
        MachineFactory(capacity_mg=0)


def test_tooling_takes_something():
    with broken("tooling_takes_something"):
        ToolingFactory(capacity_mg=0)


def test_tooling_has_a_shot():
    with broken("tooling_has_a_shot"):
        ToolingFactory(shot_mm3=0)
