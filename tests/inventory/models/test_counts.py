"""What the database itself refuses of counts, and that none is ever changed."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from inventory.models import Count, Posting
from tests.factories.book import broken, run
from tests.factories.inventory import KG, make_full_bin

pytestmark = pytest.mark.django_db


def count_row(by, bin=None, **changes):
    now = timezone.now()
    masses = {"book_mg": 10 * KG, "shown_mg": 11 * KG, "tare_mg": KG, "net_mg": 10 * KG}
    sureness = {"book_uncertainty_ug": 0, "uncertainty_ug": 0}
    times = {"happened_at": now, "recorded_at": now}
    fields = {"uuid": uuid4(), "bin": bin or make_full_bin(by)[0], "by": by}
    return Count.objects.create(**(fields | masses | sureness | times | changes))


def test_tells_the_difference_with_its_sign(operator):
    assert count_row(operator, book_mg=12 * KG).difference_mg == -2 * KG


def test_count_net_is_shown_less_tare(operator):
    with broken("count_net_is_shown_less_tare"):
        count_row(operator, net_mg=9 * KG)


def test_an_empty_bin_may_show_a_little_less_than_its_tare(operator):
    assert count_row(operator, shown_mg=KG - 1, net_mg=0).net_mg == 0


def test_count_masses_not_negative(operator):
    with broken("count_masses_not_negative"):
        count_row(operator, book_mg=-1)


def test_count_corrects_with_reason(operator):
    bin, _lot = make_full_bin(operator)
    with broken("count_corrects_with_reason"):
        count_row(operator, bin, posting=Posting.objects.get())


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE inventory_count SET net_mg = 0",
        "DELETE FROM inventory_count",
        pytest.param(
            "INSERT OR REPLACE INTO inventory_count SELECT * FROM inventory_count",
            marks=pytest.mark.skipif(connection.vendor != "sqlite", reason="a word of SQLite"),
        ),
        pytest.param(
            "TRUNCATE inventory_count",
            marks=pytest.mark.skipif(connection.vendor == "sqlite", reason="no word of SQLite"),
        ),
    ],
)
def test_no_count_is_changed_or_deleted(operator, statement):
    count_row(operator)
    if connection.vendor == "postgresql":
        run("SET CONSTRAINTS ALL IMMEDIATE")
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert Count.objects.get().net_mg == 10 * KG
