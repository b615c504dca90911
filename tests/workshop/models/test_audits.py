"""What the database refuses of an audit file."""

from datetime import date

import pytest
from django.db import DatabaseError, transaction

from tests.factories.audits import make_audit
from tests.factories.book import broken
from tests.factories.inventory import make_delivery
from workshop.models import AuditFile

pytestmark = pytest.mark.django_db


@pytest.fixture
def made(operator, lead):
    lot = make_delivery(operator).lot
    return make_audit(lead, "lot", lot.code)


def copied(made, **changes):
    fields = {f.name: getattr(made, f.name) for f in AuditFile._meta.fields if f.name != "id"}
    return AuditFile(**fields | changes)


def test_an_audit_file_asks_about_something(made):
    other = copied(made, uuid="0" * 32, subject="")
    with broken("auditfile_asks_about_something"):
        other.save()


def test_a_period_is_in_order(made):
    days = {"since": date(2026, 3, 2), "until": date(2026, 3, 1)}
    other = copied(made, uuid="0" * 32, **days)
    with broken("auditfile_period_in_order"):
        other.save()


def test_an_audit_file_is_neither_changed_nor_deleted(made):
    rows = AuditFile.objects.filter(pk=made.pk)
    for change in (lambda: rows.update(question="another"), made.delete):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change()
    assert rows.get().question == made.question
