"""Where a lot came from, where it went, and what it consists of."""

from rest_framework import serializers

from inventory.api.reads import OneView
from inventory.models import Lot
from inventory.queries.traces import make_up_of, origins_of, uses_of


class OriginSerializer(serializers.Serializer):
    """A lot that came from outside, with its share."""

    lot = serializers.CharField(source="lot.code")
    share = serializers.FloatField()
    mass_mg = serializers.IntegerField()
    kind = serializers.CharField(source="lot.kind")
    source = serializers.CharField(source="lot.delivery.source.name", allow_null=True)
    origin_class = serializers.CharField(source="lot.origin_class")
    polymer = serializers.CharField(source="lot.polymer.symbol", allow_null=True)
    colour = serializers.CharField(source="lot.colour.name")


class OriginsSerializer(serializers.Serializer):
    """What a lot took, by the lots that came from outside; shares sum to 1."""

    lot = serializers.CharField()
    total_mg = serializers.IntegerField()
    origins = OriginSerializer(many=True)


class UseSerializer(serializers.Serializer):
    """A lot that holds some of it now, or with null a fate outside."""

    lot = serializers.CharField(source="lot.code", allow_null=True)
    share = serializers.FloatField()
    mass_mg = serializers.IntegerField()
    fate = serializers.CharField()
    kind = serializers.CharField(source="lot.kind", allow_null=True)
    bin = serializers.CharField(source="lot.bin.name", allow_null=True)


class UsesSerializer(serializers.Serializer):
    """Where what a lot took is now; shares sum to 1."""

    lot = serializers.CharField()
    total_mg = serializers.IntegerField()
    uses = UseSerializer(many=True)


class SegmentSerializer(serializers.Serializer):
    """One segment of a make-up."""

    label = serializers.CharField()
    share = serializers.FloatField()
    mass_mg = serializers.IntegerField()
    srgb = serializers.CharField()


class MakeUpSerializer(serializers.Serializer):
    """What a lot consists of, cut four ways."""

    lot = serializers.CharField()
    total_mg = serializers.IntegerField()
    by_origin = SegmentSerializer(many=True)
    by_colour = SegmentSerializer(many=True)
    by_polymer = SegmentSerializer(many=True)
    by_passes = SegmentSerializer(many=True)


class TraceView(OneView):
    """A question about the lot in the address."""

    queryset = Lot.objects.all()

    def get_object(self):
        lot = super().get_object()
        return {"lot": lot.code, "total_mg": lot.in_mg} | self.answer(lot)

    def answer(self, lot: Lot) -> dict:
        """Return the answer's own part."""
        raise NotImplementedError


class Origins(TraceView):
    """Which lots from outside a lot consists of, one row each, largest share first."""

    serializer_class = OriginsSerializer

    def answer(self, lot):
        return {"origins": origins_of(lot)}


class Uses(TraceView):
    """Who holds some of a lot now, and what left the workshop, largest first."""

    serializer_class = UsesSerializer

    def answer(self, lot):
        return {"uses": uses_of(lot)}


class MakeUp(TraceView):
    """The make-up of a lot by origin class, colour, polymer and melt passes."""

    serializer_class = MakeUpSerializer

    def answer(self, lot):
        return vars(make_up_of(lot))
