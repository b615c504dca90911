"""What the database refuses of a nested plan."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from products.models import NestedPlan
from tests.factories.book import broken

pytestmark = pytest.mark.django_db
MASSES = {"sheets_mg": 10, "parts_mg": 4, "kept_mg": 3, "scrap_mg": 2, "dust_mg": 1}


def kept(by, **changes) -> NestedPlan:
    fields = {"uuid": uuid4(), "thickness_um": 1, "density_g_cm3": 1, "made_at": timezone.now()}
    return NestedPlan.objects.create(by=by, content={}, **(fields | MASSES | changes))


def test_nested_plan_adds_up(operator):
    for wrong in ({"sheets_mg": 11}, {"scrap_mg": -1, "dust_mg": 4}):
        with broken("nested_plan_adds_up"):
            kept(operator, **wrong)


def test_a_nested_plan_is_neither_changed_nor_deleted_nor_replaced(operator):
    plan = kept(operator)
    rows = NestedPlan.objects.filter(pk=plan.pk)
    for change in (
        lambda: rows.update(polymer="PS"),
        plan.delete,
        lambda: kept(operator, uuid=plan.uuid),
    ):
        with pytest.raises(DatabaseError, match="append-only|nique"), transaction.atomic():
            change()
    assert rows.get().polymer == ""


def test_a_plan_has_a_number_and_a_yield(operator):
    plan = kept(operator)
    assert (plan.number, str(plan), plan.yielded) == (f"N-{plan.pk:04d}", plan.number, 0.4)
    assert kept(operator, **dict.fromkeys(MASSES, 0)).yielded == 0
