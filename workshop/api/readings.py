"""Readings of a run: noted, listed."""

from rest_framework import serializers

from inventory.api.acts import ActBody
from products.models import Quantity
from workshop.actions.readings import note_reading
from workshop.api.moments import MomentAnswer, MomentSerializer, MomentsView, told


class ReadingSerializer(MomentSerializer):
    """One value with the window and the fume ceiling that held when it was read; place: in, above, below."""

    quantity = serializers.CharField()
    value = serializers.DecimalField(max_digits=8, decimal_places=2)
    unit = serializers.CharField()
    low = serializers.DecimalField(max_digits=8, decimal_places=2, allow_null=True)
    high = serializers.DecimalField(max_digits=8, decimal_places=2, allow_null=True)
    window_from = serializers.CharField()
    window_source = serializers.CharField()
    place = serializers.CharField()
    polymer = serializers.CharField(source="polymer.symbol", allow_null=True)
    fume_above_c = serializers.IntegerField(allow_null=True)
    is_above_fume = serializers.BooleanField()


class ReadingAnswer(ReadingSerializer, MomentAnswer):
    """A reading that was noted; out of its window it is marked, not refused."""


class ReadingBody(ActBody):
    """One value off the machine, in the unit of its quantity."""

    quantity = serializers.ChoiceField(choices=Quantity.choices)
    value = serializers.DecimalField(max_digits=8, decimal_places=2)


class Readings(MomentsView):
    """Every reading of a run; POST notes one."""

    serializer_class = ReadingSerializer
    body_class = ReadingBody
    answer_class = ReadingAnswer

    def rows(self, run):
        return run.readings.select_related("by", "polymer").in_order()

    def perform(self, sent, act):
        value = {"quantity": sent["quantity"], "value": sent["value"]}
        return told(note_reading(run=self.run(), **value, act=act), act)
