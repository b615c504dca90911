"""Reading: lists that page, narrow, search and sort, and single things."""

from django_filters.rest_framework import DjangoFilterBackend, FilterSet
from rest_framework.generics import ListAPIView, RetrieveAPIView

from inventory.api.access import ApiView
from inventory.api.filters import KnownOrdering, KnownParameters, Search
from inventory.api.names import by_code, found


class NoFilters(FilterSet):
    """Nothing to narrow by."""


class ListView(ApiView, ListAPIView):
    """A list in pages."""

    filter_backends = [KnownParameters, DjangoFilterBackend, Search, KnownOrdering]
    filterset_class = NoFilters
    search_fields = ()
    ordering_fields = ()


class OneView(ApiView, RetrieveAPIView):
    """One thing, named by the code in the address."""

    filter_backends = []
    lookup_field = "code"
    find = staticmethod(by_code)

    def get_object(self):
        return found(self.find(self.get_queryset(), self.kwargs["code"]))
