"""How lists of the API are cut into pages."""

from rest_framework.pagination import PageNumberPagination


class NumberedPages(PageNumberPagination):
    """Numbered pages; the client may ask for up to 500 rows a page."""

    page_size_query_param = "page_size"
    max_page_size = 500
