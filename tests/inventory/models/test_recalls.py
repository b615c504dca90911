"""What the database itself refuses of a recall."""

from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import Recall
from tests.factories.book import broken

pytestmark = pytest.mark.django_db


def written(person, **fields):
    facts = {"reason": "smells", "happened_at": timezone.now(), "recorded_at": timezone.now()}
    return Recall.objects.create(uuid=uuid4(), by=person, role="lead", **(facts | fields))


def test_a_recall_has_a_reason(lead):
    with broken("recall_has_reason"):
        written(lead, reason="")


def test_its_least_share_is_a_share(lead):
    with broken("recall_share_is_a_share"):
        written(lead, least_permille=1001)


def test_it_is_called_by_its_number(lead):
    made = written(lead)
    assert str(made) == f"RC-{made.pk:04d}"
