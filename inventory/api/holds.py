"""Stops on lots: placed and lifted with a reason."""

from django_filters.rest_framework import FilterSet
from rest_framework import serializers

from inventory.actions.lots import hold_lot, lift_hold
from inventory.api.acts import ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.filters import YesNoFilter
from inventory.api.lots import LotActView
from inventory.api.names import found
from inventory.api.reads import ListView
from inventory.models import Hold


class HoldSerializer(serializers.Serializer):
    """A hold as it was placed."""

    id = serializers.IntegerField()
    lot = serializers.CharField(source="lot.code")
    reason = serializers.CharField()
    placed_at = serializers.DateTimeField()
    placed_by = serializers.CharField(source="placed_by.username")
    placed_role = serializers.CharField()


class ListedHoldSerializer(HoldSerializer):
    """A hold with its lifting, if it was lifted."""

    lifted_at = serializers.DateTimeField(allow_null=True)
    lifted_by = serializers.CharField(source="lifted_by.username", allow_null=True)
    lifted_role = serializers.CharField()
    lift_reason = serializers.CharField()
    recalls = serializers.SerializerMethodField(help_text="The recalls that it stands by.")

    def get_recalls(self, hold) -> list[int]:
        return [recall.pk for recall in hold.recalls.all()]


class HoldAnswer(HoldSerializer):
    """A hold as it was placed, and the act that placed it."""

    change = ChangeSerializer()


class LiftAnswer(ListedHoldSerializer):
    """A hold as it was lifted, and the act that lifted it."""

    change = ChangeSerializer()


class HoldFilters(FilterSet):
    """Narrows holds."""

    open = YesNoFilter(field_name="lifted_at", lookup_expr="isnull")


class Holds(ListView):
    """Every hold, newest first, lifted ones included."""

    queryset = Hold.objects.select_related("lot", "placed_by", "lifted_by").prefetch_related(
        "recalls"
    )
    serializer_class = ListedHoldSerializer
    filterset_class = HoldFilters
    search_fields = ("lot__code", "reason")
    ordering_fields = ("placed_at", "lifted_at")


class LotHolds(LotActView):
    """Stop a lot with a reason until the lead lifts it."""

    act = "hold.place"
    body_class = ReasonBody
    answer_class = HoldAnswer

    def perform(self, sent, act):
        hold = hold_lot(lot=self.lot(), act=act)
        hold.change = change_of(act)
        return hold


class Lift(ActView):
    """Lift a hold with a reason."""

    act = "hold.lift"
    queryset = Hold.objects.select_related("lot", "placed_by")
    lookup_field = "id"
    body_class = ReasonBody
    answer_class = LiftAnswer

    def perform(self, sent, act):
        hold = found(self.get_queryset().filter(pk=self.kwargs["id"]).first())
        hold = lift_hold(hold=hold, act=act)
        hold.change = change_of(act)
        return hold
