"""Queries that are put into SQL once and then asked as often as needed.

Django puts a query into SQL anew each time, which takes longer than the database needs to answer
one that finds a row by its key. `kept` is for the few that every act or every request asks. Each
connection keeps its own, so no thread reads what another one is putting together.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import wraps
from inspect import get_annotations
from itertools import chain
from uuid import UUID

from django.core.exceptions import EmptyResultSet
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.models import BigIntegerField, Expression, QuerySet, TextField, UUIDField
from django.db.models.query import FlatValuesListIterable, ModelIterable, get_related_populators
from django.db.transaction import TransactionManagementError

MOST_KEYS = 64  # of a kept query; with more of them putting it into SQL no longer matters
FIELDS = {int: BigIntegerField(), str: TextField(), UUID: UUIDField()}
Keys = tuple[int, ...]


class Slot(Expression):
    """Where a value goes, by its place among the values of a call."""

    def __init__(self, place: int, kind: type):
        super().__init__(output_field=FIELDS[kind])
        self.place = place

    def as_sql(self, compiler, connection):
        return "%s", [self]


@dataclass(frozen=True)
class Statement:
    """A query in SQL: what stands in its places, and how a row of its answer is read."""

    sql: str
    values: tuple
    locks: bool
    read: Callable
    converters: list

    def rows(self, connection, given: list) -> list:
        """Return the rows of the answer to the values given."""
        if self.locks and connection.get_autocommit():
            raise TransactionManagementError("rows are locked inside a transaction only")
        if not self.sql:
            return []
        with connection.cursor() as cursor:
            cursor.execute(self.sql, [bound(each, given, connection) for each in self.values])
            found = cursor.fetchall()
        return [self.read(self.converted(row, connection)) for row in found]

    def converted(self, row: tuple, connection) -> list:
        """Return a row with what the database gave turned into what Django gives."""
        values = list(row)
        for place, (converters, column) in self.converters:
            for convert in converters:
                values[place] = convert(values[place], column, connection)
        return values


def bound(value, given: list, connection):
    """Return what is sent for a value of a statement: its own, or for a slot the one given."""
    if not isinstance(value, Slot):
        return value
    return value.output_field.get_db_prep_value(given[value.place], connection)


def kept(describe: Callable[..., QuerySet]) -> Callable[..., list]:
    """Let a function that describes a query answer it, a list of rows, and put it into SQL only once.

    Its parameters are annotated with int, str, UUID or Keys (whole numbers for `__in`, at least
    one); it must use them as they are, for it sees slots in their place. Rows are models with what
    `select_related` brings along, or values of a `values_list`; nothing is prefetched.
    """
    kinds = [kind for name, kind in get_annotations(describe).items() if name != "return"]

    @wraps(describe)
    def ask(*values):
        connection = connections[DEFAULT_DB_ALIAS]
        given = [
            padded(value) if kind == Keys else [value]
            for kind, value in zip(kinds, values, strict=True)
        ]
        shape = (describe, *map(len, given))
        known = vars(connection).setdefault("kept_statements", {})
        if (statement := known.get(shape)) is None:
            statement = put_into_sql(describe(*slots(kinds, given)), connection)
            if max(shape[1:], default=0) <= MOST_KEYS:
                known[shape] = statement
        return statement.rows(connection, [*chain.from_iterable(given)])

    return ask


def padded(keys: Iterable[int]) -> list[int]:
    """Return keys in order, the last repeated until there are 1, 2, 4, 8 ... so that few forms serve all."""
    ordered = sorted(keys)
    if len(ordered) > MOST_KEYS:
        return ordered
    most = 1 << (len(ordered) - 1).bit_length()
    return ordered + ordered[-1:] * (most - len(ordered))


def slots(kinds: list, given: list[list]) -> list:
    """Return a slot for each value, and for keys a list of them."""
    places, made = iter(range(sum(map(len, given)))), []
    for kind, values in zip(kinds, given, strict=True):
        if kind == Keys:
            made.append([Slot(next(places), int) for _value in values])
        else:
            made.append(Slot(next(places), kind))
    return made


def put_into_sql(rows: QuerySet, connection) -> Statement:
    """Return the statement of a query; without SQL where it can find nothing, as with no keys."""
    compiler = rows.query.get_compiler(connection=connection)
    try:
        sql, values = compiler.as_sql()
    except EmptyResultSet:
        return Statement(sql="", values=(), locks=False, read=tuple, converters=[])
    columns = [column for column, _sql, _alias in compiler.select[: compiler.col_count]]
    locks = rows.query.select_for_update and connection.features.has_select_for_update
    converters = [*compiler.get_converters(columns).items()]
    return Statement(sql, tuple(values), locks, reader(rows, compiler, connection), converters)


def reader(rows: QuerySet, compiler, connection) -> Callable:
    """Return the function that makes of a row what the query gives: a model, a value or values."""
    kind = rows._iterable_class  # noqa: SLF001 (QuerySet has no other way to tell)
    if kind is not ModelIterable:
        return (lambda row: row[0]) if kind is FlatValuesListIterable else tuple
    alias, places = connection.alias, compiler.klass_info["select_fields"]
    first, end = places[0], places[-1] + 1
    names = [column[0].target.attname for column in compiler.select[first:end]]
    related = get_related_populators(compiler.klass_info, compiler.select, alias)
    added = [*compiler.annotation_col_map.items()]

    def read(row):
        model = rows.model.from_db(alias, names, row[first:end])
        for populator in related:
            populator.populate(row, model)
        for name, place in added:
            setattr(model, name, row[place])
        return model

    return read
