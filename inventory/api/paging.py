"""How lists of the API are cut into pages."""

from django.utils.translation import gettext_lazy as _
from rest_framework.exceptions import ValidationError
from rest_framework.pagination import PageNumberPagination


class NumberedPages(PageNumberPagination):
    """Numbered pages; the client may ask for up to 500 rows a page."""

    page_size_query_param = "page_size"
    max_page_size = 500

    def get_page_size(self, request):
        asked = request.query_params.get(self.page_size_query_param)
        if asked is None:
            return self.page_size
        if not (asked.isascii() and asked.isdecimal() and 0 < int(asked[:9]) <= self.max_page_size):
            sentence = _("Ask for 1 to %(most)s rows a page.") % {"most": self.max_page_size}
            raise ValidationError({self.page_size_query_param: [sentence]})
        return int(asked)
