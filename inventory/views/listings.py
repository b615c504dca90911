"""What every list page needs: a filter, a page of it, and headings that sort."""

from dataclasses import dataclass

from django.core.paginator import Page, Paginator

from inventory.queries.keysets import PER_PAGE, KeysetPage, page_of


@dataclass(frozen=True)
class Column:
    """A heading; with `sort` it sorts the list by that key."""

    label: str
    sort: str = ""
    numeric: bool = False


def paged(request, rows, *, per_page: int = PER_PAGE) -> KeysetPage:
    """Return the page of a query's rows that the query string asks for; raises UnknownPageError.

    When everything beyond it has left the list meanwhile it is the first page.
    """
    shown = page_of(rows, request.GET.get("page", ""), per_page=per_page)
    return shown if len(shown) or not shown.cursor else page_of(rows, "", per_page=per_page)


def numbered(request, rows: list, *, per_page: int = PER_PAGE) -> Page:
    """Return a page, by number, of rows that were reckoned as a whole; the nearest there is."""
    return Paginator(rows, per_page).get_page(request.GET.get("page"))


def listing(request, filters, columns=(), *, place: str) -> dict:
    """Return the context of a list page: filter, page, columns and the query without its page."""
    return {
        "place": place,
        "filter": filters,
        "page": paged(request, filters.qs),
        "query": query_without(request, "page").urlencode(),
        "columns": [heading(request, column) for column in columns],
    }


def query_without(request, *names):
    """Return the query string's values without some names and without empty ones."""
    query = request.GET.copy()
    for name in {*names, *(name for name in request.GET if not request.GET[name])}:
        query.pop(name, None)
    return query


def heading(request, column: Column) -> dict:
    """Return a table heading that sorts, and sorts the other way the second time."""
    current = request.GET.get("sort", "")
    sorted_as = {column.sort: "ascending", f"-{column.sort}": "descending"}.get(current, "")
    query = query_without(request, "page", "sort")
    query["sort"] = f"-{column.sort}" if sorted_as == "ascending" else column.sort
    return {
        "label": column.label,
        "numeric": column.numeric,
        "sort_url": f"?{query.urlencode()}" if column.sort else "",
        "sorted": sorted_as if column.sort else "",
    }
