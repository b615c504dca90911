"""One run with its charges, what went in, what came out, and how well it balances."""

from rest_framework import serializers

from inventory.api.reads import OneView
from workshop.api.charges import LoadSerializer
from workshop.api.runs import ListedRunSerializer, run_named
from workshop.api.yields import YieldSerializer
from workshop.queries.runs import balances, run_list


class BookedLoadSerializer(LoadSerializer):
    """A load with the UUID of its posting."""

    posting = serializers.UUIDField(source="posting.uuid")


class BookedYieldSerializer(YieldSerializer):
    """A yield with the UUID of its posting."""

    posting = serializers.UUIDField(source="posting.uuid")


class BalanceSerializer(serializers.Serializer):
    """A charge; masses in mg, a gap above zero is missing mass."""

    number = serializers.IntegerField(source="charge.number")
    lot = serializers.CharField(source="charge.lot.code")
    polymer = serializers.CharField(source="charge.lot.polymer.symbol", allow_null=True)
    colour = serializers.CharField(source="charge.lot.colour.name")
    is_closed = serializers.BooleanField()
    is_sealed = serializers.BooleanField()
    in_mg = serializers.IntegerField()
    yielded_mg = serializers.IntegerField()
    left_mg = serializers.IntegerField()
    gap_mg = serializers.IntegerField()
    expanded_mg = serializers.FloatField(help_text="Expanded uncertainty of the gap, k = 2.")
    is_within = serializers.BooleanField()
    loads = BookedLoadSerializer(many=True)
    yields = BookedYieldSerializer(many=True)


class BalancedRunSerializer(ListedRunSerializer):
    """A run with its charges."""

    charges = BalanceSerializer(many=True, source="shown")


class OneRun(OneView):
    """One run, by code or by number, with its charges."""

    queryset = run_list()
    serializer_class = BalancedRunSerializer
    find = staticmethod(run_named)

    def get_object(self):
        run = super().get_object()
        run.shown = balances(run)
        return run
