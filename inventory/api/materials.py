"""Polymers and colours, for reading."""

from django_filters.rest_framework import FilterSet
from rest_framework import serializers

from inventory.api.filters import YesNoFilter
from inventory.api.reads import ListView
from inventory.models import Colour, Polymer


class PolymerSerializer(serializers.Serializer):
    """A polymer as ISO 1043-1 writes it; densities in g/cm3."""

    symbol = serializers.CharField()
    name = serializers.CharField()
    mark = serializers.CharField()
    resin_code = serializers.IntegerField(allow_null=True)
    packaging_code = serializers.IntegerField(allow_null=True)
    density_low = serializers.DecimalField(max_digits=5, decimal_places=3, allow_null=True)
    density_typical = serializers.DecimalField(max_digits=5, decimal_places=3, allow_null=True)
    density_high = serializers.DecimalField(max_digits=5, decimal_places=3, allow_null=True)
    is_rejected = serializers.BooleanField()
    reject_reason = serializers.CharField()
    spellings = serializers.SerializerMethodField()

    def get_spellings(self, polymer) -> list[str]:
        return sorted(spelling.text for spelling in polymer.spellings.all())


class PolymerFilters(FilterSet):
    """Narrows polymers."""

    is_rejected = YesNoFilter(field_name="is_rejected")


class Polymers(ListView):
    """Every polymer known here, blends included."""

    queryset = Polymer.objects.prefetch_related("spellings")
    serializer_class = PolymerSerializer
    filterset_class = PolymerFilters
    search_fields = ("symbol", "name", "spellings__text")
    ordering_fields = ("symbol", "density_typical")


class ColourSerializer(serializers.Serializer):
    """A colour with its sRGB value; "mixed" has none."""

    name = serializers.CharField()
    srgb = serializers.CharField()
    is_mixed = serializers.BooleanField()


class Colours(ListView):
    """Every colour known here."""

    queryset = Colour.objects.all()
    serializer_class = ColourSerializer
    search_fields = ("name",)
    ordering_fields = ("name",)
