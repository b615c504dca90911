"""The sheet of a polymer, as its page prints it."""

from rest_framework import serializers

from inventory.api.names import found
from inventory.api.own_figures import OwnFigureSerializer
from inventory.api.reads import OneView
from inventory.models import Polymer
from inventory.queries.material_sheets import sheet_of


class LineSerializer(serializers.Serializer):
    """A figure with its unit and the keys of its sources; `basis` is empty when it is published."""

    name = serializers.CharField()
    unit = serializers.CharField()
    low = serializers.FloatField(allow_null=True)
    typical = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    sources = serializers.ListField(child=serializers.CharField())
    basis = serializers.CharField()
    reference = serializers.ListField(
        child=serializers.FloatField(allow_null=True),
        allow_null=True,
        help_text="Low, typical and high of the reference where the figure is the workshop's own.",
    )
    own = OwnFigureSerializer(allow_null=True)
    above_fume_c = serializers.IntegerField(
        allow_null=True, help_text="The fume ceiling where the window reaches above it."
    )


class BathSerializer(serializers.Serializer):
    """What the plain polymer does in a liquid of a density in g/cm3: floats, sinks or unsure."""

    name = serializers.CharField()
    density = serializers.FloatField()
    answer = serializers.CharField()


class SheetSerializer(serializers.Serializer):
    """A polymer's sheet. The fume ceiling is not where thermal analysis saw it decompose."""

    symbol = serializers.CharField(source="polymer.symbol")
    name = serializers.CharField(source="polymer.name")
    is_rejected = serializers.BooleanField(source="polymer.is_rejected")
    reject_reason = serializers.CharField(source="polymer.reject_reason")
    hazard = serializers.CharField(source="polymer.hazard")
    transition = serializers.CharField(source="polymer.transition")
    drying = serializers.CharField(source="need")
    fume_above_c = serializers.IntegerField(source="fume.typical", allow_null=True)
    decomposes_c = serializers.JSONField(
        source="polymer.decomposes_c", help_text="Low, high and source; empty when not known."
    )
    figures = LineSerializer(source="lines", many=True)
    baths = BathSerializer(many=True)
    partners = serializers.DictField(
        child=serializers.ListField(child=serializers.CharField()),
        help_text="Other polymers by what becomes of them in it: never, apart, limited, usable, unknown.",
    )
    source_keys = serializers.DictField(source="used_sources", child=serializers.CharField())
    history = OwnFigureSerializer(many=True)


class OneSheet(OneView):
    """One polymer by its symbol."""

    queryset = Polymer.objects.all()
    lookup_field = "symbol"
    serializer_class = SheetSerializer

    def get_object(self):
        polymer = found(self.get_queryset().filter(symbol=self.kwargs["symbol"]).first())
        return sheet_of(polymer)
