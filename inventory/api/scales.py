"""Weighing instruments, for reading."""

from django_filters.rest_framework import FilterSet
from rest_framework import serializers

from inventory.api.filters import YesNoFilter
from inventory.api.reads import ListView
from inventory.models import Scale


class ScaleSerializer(serializers.Serializer):
    """A scale with its capacity and the step of its display."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    capacity_mg = serializers.IntegerField()
    resolution_mg = serializers.IntegerField()
    is_in_use = serializers.BooleanField()


class ScaleFilters(FilterSet):
    """Narrows scales."""

    is_in_use = YesNoFilter(field_name="is_in_use")


class Scales(ListView):
    """Every scale."""

    queryset = Scale.objects.all()
    serializer_class = ScaleSerializer
    filterset_class = ScaleFilters
    search_fields = ("name",)
    ordering_fields = ("name", "capacity_mg", "resolution_mg")
