"""Queries that are put into SQL once answer as the queries they describe."""

from uuid import UUID, uuid4

import pytest
from django.db import connection, connections
from django.db.models import F, Q, QuerySet
from django.db.transaction import TransactionManagementError
from django.test.utils import CaptureQueriesContext

from inventory.models import Bin, Lot, Posting
from inventory.queries.statements import MOST_KEYS, Keys, kept, padded
from tests.factories.inventory import BinFactory, make_delivery, make_full_bin

pytestmark = pytest.mark.django_db


@kept
def lots_of(keys: Keys) -> QuerySet[Lot]:
    return Lot.objects.select_related("polymer", "colour", "bin").filter(pk__in=keys).order_by("pk")


@kept
def lots_or_fill(keys: Keys, bin: int) -> QuerySet[Lot]:
    wanted = Q(pk__in=keys) | Q(bin=bin, out_mg__lt=F("in_mg"))
    return Lot.objects.filter(wanted).order_by("pk")


@kept
def codes_of(bin: int) -> QuerySet[Lot]:
    return Lot.objects.filter(bin=bin).values_list("code", flat=True)


@kept
def facts_of(code: str) -> QuerySet[Lot]:
    return Lot.objects.annotate(left=F("in_mg") - F("out_mg")).filter(code=code)


@kept
def postings_of(key: UUID) -> QuerySet[Posting]:
    return Posting.objects.filter(uuid=key).values_list("uuid", "happened_at")


@kept
def bins_locked(keys: Keys) -> QuerySet[Bin]:
    return Bin.objects.select_for_update().filter(pk__in=keys)


def columns_of(rows):
    return [{name: value for name, value in vars(row).items() if name != "_state"} for row in rows]


def test_rows_are_those_of_the_query_described(operator):
    keys = {make_full_bin(operator)[1].pk for _ in range(3)}
    plain = Lot.objects.filter(pk__in=keys).order_by("pk")
    assert columns_of(lots_of(keys)) == columns_of(plain)


def test_what_is_joined_comes_along(operator, django_assert_num_queries):
    bin, lot = make_full_bin(operator)
    (row,) = lots_of({lot.pk})
    with django_assert_num_queries(0):
        assert (row.bin, row.polymer.symbol, row.colour.name) == (bin, "PE-HD", lot.colour.name)
        assert row.polymer.sources == lot.polymer.sources


def test_a_row_says_where_it_comes_from_and_can_be_saved(operator):
    bin, lot = make_full_bin(operator)
    (row,) = lots_of({lot.pk})
    assert (row._state.db, row._state.adding) == ("default", False)


def test_values_are_those_of_each_call(operator):
    (one, first), (other, second) = make_full_bin(operator), make_full_bin(operator)
    assert (codes_of(one.pk), codes_of(other.pk)) == ([first.code], [second.code])


def test_keys_and_a_value_go_to_their_own_places(operator):
    (bin, fill), loose = make_full_bin(operator), make_delivery(operator).lot
    assert set(lots_or_fill({loose.pk}, bin.pk)) == {fill, loose}


def test_no_keys_leave_the_rest_of_the_query(operator):
    bin, fill = make_full_bin(operator)
    assert lots_or_fill(set(), bin.pk) == [fill]


def test_no_keys_at_all_find_nothing_and_ask_nothing(django_assert_num_queries):
    with django_assert_num_queries(0):
        assert lots_of(set()) == []


def test_what_is_annotated_stands_on_the_row(operator):
    _bin, lot = make_full_bin(operator)
    assert [row.left for row in facts_of(lot.code)] == [lot.held_mg]


def test_ids_and_times_are_read_as_django_reads_them(operator):
    make_full_bin(operator)
    posting = Posting.objects.first()
    assert postings_of(posting.uuid) == [(posting.uuid, posting.happened_at)]
    assert postings_of(uuid4()) == []


def test_a_second_call_sends_the_same_sql(operator):
    keys = [make_delivery(operator).lot.pk for _ in range(4)]
    with CaptureQueriesContext(
        connection,
    ) as asked:
        lots_of(keys[:3]), lots_of(keys)
    shapes = {statement["sql"].count(",") for statement in asked.captured_queries}
    assert (len(asked), len(shapes)) == (2, 1)


@pytest.mark.parametrize(
    ("many", "sent"),
    [(0, 0), (1, 1), (2, 2), (3, 4), (5, 8), (64, 64), (MOST_KEYS + 1, MOST_KEYS + 1)],
)
def test_keys_are_filled_up_with_the_last_one(many, sent):
    keys = padded(range(many))
    assert (len(keys), set(keys), keys) == (sent, set(range(many)), sorted(keys))


def test_many_keys_are_asked_for_all_the_same(operator):
    lot = make_delivery(operator).lot
    keys = {*range(lot.pk + 1, lot.pk + 3 * MOST_KEYS), lot.pk}
    assert lots_of(keys) == [lot]
    kept_for = [shape for shape in vars(connections["default"])["kept_statements"]]
    assert all(max(shape[1:], default=0) <= MOST_KEYS for shape in kept_for)


@pytest.mark.django_db(transaction=True)
def test_rows_are_locked_inside_a_transaction_only():
    if not connection.features.has_select_for_update:
        pytest.skip("this database has one writer and locks no rows")
    with pytest.raises(TransactionManagementError):
        bins_locked({BinFactory().pk})
