"""What the database refuses of a plan."""

import pytest
from django.db import DatabaseError, transaction

from tests.factories.book import broken
from tests.factories.inventory import make_full_bin
from tests.factories.plans import start
from tests.factories.workshop import make_run
from workshop.models import Plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(operator):
    make_full_bin(operator)
    return start(operator)


def copied(plan, **changes):
    fields = {f.name: getattr(plan, f.name) for f in Plan._meta.fields if f.name != "id"}
    return Plan(**fields | {"uuid": "0" * 32} | changes)


def test_a_plan_has_a_charge(plan, operator):
    other = copied(plan, run=make_run(operator), charge_mg=0)
    with broken("plan_has_charge"):
        other.save()


def test_a_run_has_one_plan(plan):
    with pytest.raises(DatabaseError, match="(?i)unique"), transaction.atomic():
        copied(plan).save()


def test_a_plan_is_neither_changed_nor_deleted(plan):
    rows = Plan.objects.filter(pk=plan.pk)
    for change in (lambda: rows.update(charge_mg=1), plan.delete):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change()
    assert rows.get().charge_mg == plan.charge_mg
