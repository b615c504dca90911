"""How lists of the API are cut into pages."""

from django.utils.translation import gettext_lazy as _
from rest_framework.exceptions import ValidationError
from rest_framework.pagination import BasePagination, PageNumberPagination
from rest_framework.response import Response
from rest_framework.utils.urls import remove_query_param, replace_query_param

from inventory.queries.keysets import UnknownPageError, page_of

PAGE, SIZE = "page", "page_size"
USUAL, MOST = 50, 500
LINK = {"type": "string", "format": "uri", "nullable": True}


def size_asked(request) -> int:
    """Return how many rows a page shall have: what the client asks for, up to 500."""
    asked = request.query_params.get(SIZE)
    if asked is None:
        return USUAL
    is_short = asked.isascii() and asked.isdecimal() and len(asked) <= len(str(MOST))
    if not (is_short and 0 < int(asked) <= MOST):
        raise ValidationError({SIZE: [_("Ask for 1 to %(most)s rows a page.") % {"most": MOST}]})
    return int(asked)


class NumberedPages(PageNumberPagination):
    """Numbered pages, for what is reckoned as a whole before its first page is shown."""

    page_size_query_param = SIZE
    max_page_size = MOST

    def get_page_size(self, request):
        return size_asked(request)


class KeysetPages(BasePagination):
    """Pages of the book that begin where the one before ended; `next` and `previous` lead on.

    Rows are not counted: a book of millions would be read whole to say how many there are.
    """

    def paginate_queryset(self, queryset, request, view=None):
        self.address = request.build_absolute_uri()
        cursor = request.query_params.get(PAGE, "")
        if PAGE in request.query_params and not cursor:
            raise ValidationError({PAGE: UnknownPageError().messages})
        try:
            self.page = page_of(queryset, cursor, per_page=size_asked(request))
        except UnknownPageError as unknown:
            raise ValidationError({PAGE: unknown.messages}) from None
        return self.page.object_list

    def get_paginated_response(self, data):
        links = {"next": self.link(self.page.next), "previous": self.link(self.page.previous)}
        return Response({**links, "results": data})

    def link(self, cursor: str) -> str | None:
        """Return the address of the page of a cursor."""
        if not cursor:
            return None
        return replace_query_param(remove_query_param(self.address, PAGE), PAGE, cursor)

    def get_paginated_response_schema(self, schema):
        return {
            "type": "object",
            "required": ["next", "previous", "results"],
            "properties": {"next": LINK, "previous": LINK, "results": schema},
        }

    def get_schema_operation_parameters(self, view):
        page = "The cursor of a page, as `next` and `previous` give it; leave it out for the first."
        size = f"Rows a page, 1 to {MOST}; {USUAL} unless asked."
        return [parameter(PAGE, page, "string"), parameter(SIZE, size, "integer")]


def parameter(name: str, description: str, kind: str) -> dict:
    """Return one parameter of the query for the schema."""
    return {
        "name": name,
        "in": "query",
        "required": False,
        "description": description,
        "schema": {"type": kind},
    }
