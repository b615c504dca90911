"""How far a run has come: its cycles, statistics, the step that runs, the pause, and its windows."""

from django.utils import timezone
from rest_framework import serializers

from inventory.api.reads import OneView
from workshop.api.runs import run_named
from workshop.queries.cycles import making_of
from workshop.queries.readings import gauges_of
from workshop.queries.runs import run_list


class SpreadSerializer(serializers.Serializer):
    """Times in seconds: n, median and quartiles (Hyndman and Fan's type 7; null below four times)."""

    n = serializers.IntegerField()
    median_s = serializers.FloatField()
    low_s = serializers.FloatField(allow_null=True)
    high_s = serializers.FloatField(allow_null=True)
    is_few = serializers.BooleanField()


class StepTimeSerializer(serializers.Serializer):
    """The times of one step."""

    name = serializers.CharField()
    times = SpreadSerializer()


class RunningStepSerializer(serializers.Serializer):
    """The step that runs, with the seconds worked in it."""

    name = serializers.CharField(source="step.name")
    started_at = serializers.DateTimeField(source="step.happened_at")
    worked_s = serializers.FloatField()


class OpenPauseSerializer(serializers.Serializer):
    """The pause that the run is in."""

    why = serializers.CharField(source="reason")
    note = serializers.CharField()
    happened_at = serializers.DateTimeField()


class GaugeSerializer(serializers.Serializer):
    """What is read in the run, with the window that holds now."""

    quantity = serializers.CharField(source="quantity.value")
    unit = serializers.CharField(source="quantity.unit")
    low = serializers.DecimalField(max_digits=8, decimal_places=2, allow_null=True)
    high = serializers.DecimalField(max_digits=8, decimal_places=2, allow_null=True)
    window_from = serializers.CharField()
    window_source = serializers.CharField(source="source")
    fume_above_c = serializers.IntegerField(allow_null=True)


class MakingSerializer(serializers.Serializer):
    """How far a run has come."""

    run = serializers.CharField(source="code")
    cycles = serializers.IntegerField(source="making.statistics.cycles")
    pieces = serializers.IntegerField(source="making.statistics.pieces")
    pieces_per_cycle = serializers.IntegerField(source="making.pieces_per_cycle")
    times = SpreadSerializer(source="making.statistics.times", allow_null=True)
    pieces_per_hour = serializers.FloatField(
        source="making.statistics.pieces_per_hour", allow_null=True
    )
    steps = StepTimeSerializer(source="making.statistics.steps", many=True)
    running = RunningStepSerializer(source="making.running", allow_null=True)
    pause = OpenPauseSerializer(source="making.pause", allow_null=True)
    gauges = GaugeSerializer(many=True)


class OneMaking(OneView):
    """How far the run in the address has come, steps with the slowest first."""

    queryset = run_list()
    serializer_class = MakingSerializer
    find = staticmethod(run_named)

    def get_object(self):
        run = super().get_object()
        run.making, run.gauges = making_of(run, timezone.now()), gauges_of(run)
        return run
