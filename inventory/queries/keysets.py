"""Pages of a list that begin where the one before ended, by the values it is sorted by.

A page costs the same wherever in the list it stands, since no row is passed over to reach
it and none is counted; and rows written meanwhile neither repeat on the next page nor push
one off it. The place where a page begins travels in its address as a signed cursor.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import FieldDoesNotExist, ValidationError
from django.core.signing import BadSignature, Signer
from django.db import connection
from django.db.models import F, Field, Q, QuerySet
from django.db.models.expressions import OrderBy
from django.utils.translation import gettext_lazy as _

UNKNOWN = "unknown-page"
SENTENCE = _("This page of the list cannot be found again; begin at its first page.")
NEWER, OLDER = "before", "after"  # the way a page lies from the row in its cursor
LONGEST_CURSOR = 2_000
PER_PAGE = 25


class UnknownPageError(ValidationError):
    """The cursor is none that this list gave out."""

    def __init__(self):
        super().__init__(SENTENCE, code=UNKNOWN)


@dataclass(frozen=True)
class Key:
    """One value that a list is sorted by, selected as `alias`."""

    alias: str
    expression: object
    is_descending: bool
    nulls_first: bool
    is_nullable: bool
    places_nulls: bool  # the list itself says where they go, and not the database

    def order(self, *, is_backward: bool) -> OrderBy:
        """Return the key in an ORDER BY, the other way round for a page before."""
        nulls = {}
        if self.places_nulls:
            is_first = self.nulls_first is not is_backward
            nulls = {"nulls_first": True} if is_first else {"nulls_last": True}
        return OrderBy(self.expression, descending=self.is_descending is not is_backward, **nulls)

    def beyond(self, value, *, is_backward: bool) -> Q:
        """Return the condition that a row's key lies beyond a value, seen in that direction."""
        nulls_follow = self.is_nullable and self.nulls_first is is_backward
        if value is None:
            return Q(pk__in=[]) if nulls_follow else Q((f"{self.alias}__isnull", False))
        sign = "lt" if self.is_descending is not is_backward else "gt"
        found = Q((f"{self.alias}__{sign}", value))
        return found | Q((f"{self.alias}__isnull", True)) if nulls_follow else found

    def equal(self, value) -> Q:
        """Return the condition that a row's key has a value."""
        return Q((f"{self.alias}__isnull", True)) if value is None else Q((self.alias, value))

    def bound(self, value, *, is_backward: bool) -> Q:
        """Return a plain bound that an index can begin at; it excludes nothing that is wanted."""
        if self.is_nullable or value is None:
            return Q()
        sign = "lte" if self.is_descending is not is_backward else "gte"
        return Q((f"{self.alias}__{sign}", value))


@dataclass(frozen=True)
class KeysetPage:
    """A page of rows, and the cursors of the pages beside it, empty where there is none."""

    object_list: list
    cursor: str
    previous: str
    next: str

    def __iter__(self):
        return iter(self.object_list)

    def __len__(self):
        return len(self.object_list)

    @property
    def has_other_pages(self) -> bool:
        """Whether anything lies before or after."""
        return bool(self.previous or self.next or self.cursor)


def page_of(rows: QuerySet, cursor: str, *, per_page: int = PER_PAGE) -> KeysetPage:
    """Return the page of a sorted list that begins at a cursor, the first for an empty one.

    One query, which reads one row more than it shows. Raises UnknownPageError for a cursor that
    was not given out for this list in this order.
    """
    keys = keys_of(rows)
    rows = rows.annotate(**{key.alias: key.expression for key in keys})
    signer = Signer(salt=f"page of {rows.model._meta.label} by {order_name(keys)}")  # noqa: SLF001
    way, values = read_cursor(cursor, signer, fields_of(rows, keys)) if cursor else (OLDER, None)
    is_backward = way == NEWER
    if values is not None:
        rows = rows.filter(beyond(keys, values, is_backward=is_backward))
    order = [key.order(is_backward=is_backward) for key in keys]
    found = list(rows.order_by(*order)[: per_page + 1])
    has_more, shown = len(found) > per_page, found[:per_page]
    if is_backward:
        shown.reverse()
    has_newer = has_more if is_backward else values is not None
    has_older = is_backward or has_more
    return KeysetPage(
        object_list=shown,
        cursor=cursor,
        previous=written_cursor(NEWER, shown[0], keys, signer) if shown and has_newer else "",
        next=written_cursor(OLDER, shown[-1], keys, signer) if shown and has_older else "",
    )


def keys_of(rows: QuerySet) -> list[Key]:
    """Return what a list is sorted by, with its primary key last, so that no two rows are alike.

    The primary key goes the way of what stands before it, so that one index serves both.
    """
    query = rows.query
    terms = query.order_by or (query.get_meta().ordering if query.default_ordering else ())
    keys = []
    for term in terms:
        keys.append(key_of(rows, term, len(keys)))
        if is_primary(rows, keys[-1].expression):
            return keys
    is_descending = keys[-1].is_descending if keys else True
    return [*keys, key_of(rows, "-pk" if is_descending else "pk", len(keys))]


def is_primary(rows: QuerySet, expression) -> bool:
    """Return whether an expression is the primary key of the list's rows."""
    return getattr(expression, "name", "") in {"pk", rows.model._meta.pk.name}  # noqa: SLF001


def key_of(rows: QuerySet, term, number: int) -> Key:
    """Return the key of one term of an ORDER BY: a name, an expression, or either with a direction."""
    if isinstance(term, str):
        term = OrderBy(F(term.removeprefix("-")), descending=term.startswith("-"))
    elif not isinstance(term, OrderBy):
        term = OrderBy(term)
    first_by_nature = (connection.vendor == "sqlite") is not term.descending
    return Key(
        alias=f"sorted_by_{number}",
        expression=term.expression,
        is_descending=term.descending,
        nulls_first=bool(term.nulls_first) or (first_by_nature and not term.nulls_last),
        is_nullable=is_nullable(rows, term.expression),
        places_nulls=bool(term.nulls_first or term.nulls_last),
    )


def is_nullable(rows: QuerySet, expression) -> bool:
    """Return whether a key may be empty; what is no plain column counts as one that may."""
    if is_primary(rows, expression):
        return False
    model, names = rows.model, getattr(expression, "name", "").split("__")
    for name in names:
        try:
            field = model._meta.get_field(name)  # noqa: SLF001
        except FieldDoesNotExist:
            return True
        if field.null or not isinstance(field, Field):
            return True
        model = field.related_model
    return False


def fields_of(rows: QuerySet, keys: list[Key]) -> list[Field]:
    """Return the fields that read the values of the keys."""
    return [rows.query.annotations[key.alias].output_field for key in keys]


def order_name(keys: list[Key]) -> str:
    """Return an order in words, so that a cursor of one order is none of another."""
    return ", ".join(f"{key.expression!r} {key.is_descending} {key.nulls_first}" for key in keys)


def beyond(keys: list[Key], values: list, *, is_backward: bool) -> Q:
    """Return the condition that a row lies beyond some values, compared key by key."""
    condition = Q()
    for key, value in reversed(list(zip(keys, values, strict=True))):
        further = key.beyond(value, is_backward=is_backward)
        if condition:
            ties = key.equal(value) & condition
            condition = key.bound(value, is_backward=is_backward) & (further | ties)
        else:
            condition = further
    return condition


def written_cursor(way: str, row, keys: list[Key], signer: Signer) -> str:
    """Return the cursor of the page that lies before or after a row."""
    values = [plain(getattr(row, key.alias)) for key in keys]
    return signer.sign_object([way, *values])


def plain(value):
    """Return a value as JSON can tell it and its field can read it."""
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal | UUID) else value


def read_cursor(cursor: str, signer: Signer, fields: list[Field]) -> tuple[str, list]:
    """Return the way and the values in a cursor."""
    if len(cursor) > LONGEST_CURSOR or not cursor.isascii():
        raise UnknownPageError
    try:
        way, *values = signer.unsign_object(cursor)
    except BadSignature:
        raise UnknownPageError from None
    return way, [field.to_python(value) for field, value in zip(fields, values, strict=True)]
