"""What a meter of energy showed in a run: noted, listed."""

from rest_framework import serializers

from inventory.api.acts import ActBody
from workshop.actions.meterings import note_meter
from workshop.api.moments import MomentAnswer, MomentSerializer, MomentsView, told
from workshop.models import Metering
from workshop.queries.meterings import meterings_of


class MeteringSerializer(MomentSerializer):
    """One value off a meter: at the start, at the end, or what was used in the run."""

    what = serializers.CharField()
    kwh = serializers.DecimalField(max_digits=12, decimal_places=3)


class MeteringAnswer(MeteringSerializer, MomentAnswer):
    """A value that was noted; what is noted last counts."""


class MeteringBody(ActBody):
    """One value off a meter, in kWh."""

    what = serializers.ChoiceField(choices=Metering.What.choices)
    kwh = serializers.DecimalField(max_digits=12, decimal_places=3)


class Meterings(MomentsView):
    """Every value off the meter of a run; POST notes one."""

    act = "run.meter"
    serializer_class = MeteringSerializer
    body_class = MeteringBody
    answer_class = MeteringAnswer

    def rows(self, run):
        return meterings_of(run)

    def perform(self, sent, act):
        value = {"what": sent["what"], "kwh": sent["kwh"]}
        return told(note_meter(run=self.run(), **value, act=act), act)
