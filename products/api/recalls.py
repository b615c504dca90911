"""Recalls: where something bad is now, stopping all of it, and lifting that again."""

from rest_framework import serializers
from rest_framework.response import Response

from inventory.actions.recalls import MOST_LOTS, lift_recall, start_recall
from inventory.api.access import ApiView
from inventory.api.acts import ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import LotField, WholeField
from inventory.api.names import found
from inventory.api.reads import ListView, OneView
from inventory.models import Recall
from inventory.queries.recalls import recall_list, whereabouts
from products.queries.recalls import rows_of

SHARE = {"min_value": 0, "max_value": 1000, "default": 0}


class HolderSerializer(serializers.Serializer):
    """A lot that holds some of it; the share is of what it holds, 0 to 1."""

    lot = serializers.CharField(source="holder.lot.code")
    kind = serializers.CharField(source="holder.lot.kind")
    name = serializers.CharField()
    place = serializers.CharField()
    passport = serializers.CharField(source="part.code", default=None, allow_null=True)
    mass_mg = serializers.IntegerField(source="holder.mass_mg")
    share = serializers.FloatField(source="holder.share")


class FateSerializer(serializers.Serializer):
    """What left the workshop."""

    role = serializers.CharField()
    mass_mg = serializers.IntegerField()


class WhereaboutsSerializer(serializers.Serializer):
    """Everything that holds some of certain lots, the most first, and what left."""

    total_mg = serializers.IntegerField()
    holders = HolderSerializer(many=True)
    gone = FateSerializer(many=True)


class RecallSerializer(serializers.Serializer):
    """A recall as it was started."""

    id = serializers.IntegerField()
    number = serializers.CharField()
    lots = serializers.SerializerMethodField()
    least_permille = serializers.IntegerField()
    reason = serializers.CharField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    placed = serializers.IntegerField()

    def get_lots(self, recall) -> list[str]:
        return [lot.code for lot in recall.lots.all()]


class StandingRecallSerializer(RecallSerializer):
    """A recall with how many of its holds still stand."""

    standing = serializers.IntegerField()


class RecallAnswer(RecallSerializer):
    """A recall as it was started, and the act that did it."""

    change = ChangeSerializer()


class LiftedAnswer(serializers.Serializer):
    """The recall whose holds were lifted."""

    number = serializers.CharField()
    change = ChangeSerializer()


class LookBody(serializers.Serializer):
    """What is looked for."""

    lot = serializers.ListField(child=LotField(), min_length=1, max_length=MOST_LOTS)
    least_permille = serializers.IntegerField(**SHARE)


class RecallBody(ReasonBody):
    """What is bad, and why it is stopped."""

    lots = serializers.ListField(child=LotField(), min_length=1, max_length=MOST_LOTS)
    least_permille = WholeField(**SHARE)


class Recalls(ActView, ListView):
    """Every recall, newest first; POST starts one."""

    act = "recall.start"
    queryset = recall_list()
    serializer_class = StandingRecallSerializer
    search_fields = ("reason",)
    ordering_fields = ("happened_at",)
    body_class = RecallBody
    answer_class = RecallAnswer

    def perform(self, sent, act):
        lots = list({lot.pk: lot for lot in sent["lots"]}.values())
        made = start_recall(lots=lots, least_permille=sent["least_permille"], act=act)
        recall = recall_list().get(pk=made.pk)
        recall.change = change_of(act)
        return recall


class OneRecall(OneView):
    """One recall."""

    queryset = recall_list()
    serializer_class = StandingRecallSerializer
    lookup_field = "id"

    def get_object(self):
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())


class Lift(ActView):
    """Lift every hold of a recall that still stands."""

    act = "recall.lift"
    queryset = Recall.objects.all()
    lookup_field = "id"
    body_class = ReasonBody
    answer_class = LiftedAnswer

    def perform(self, sent, act):
        recall = found(self.get_queryset().filter(pk=self.kwargs["id"]).first())
        return {"number": lift_recall(recall=recall, act=act).number, "change": change_of(act)}


class WhereItIs(ApiView):
    """Where the mass of some lots is now, before anything is stopped; name each in a `lot` of its own."""

    queryset = Recall.objects.none()
    serializer_class = WhereaboutsSerializer
    filter_backends = []

    def get(self, request, *args, **kwargs):
        asked = request.query_params
        body = LookBody(
            data={
                "lot": asked.getlist("lot"),
                "least_permille": asked.get("least_permille", 0),
            }
        )
        body.is_valid(raise_exception=True)
        lots = list({lot.pk: lot for lot in body.validated_data["lot"]}.values())
        answer = whereabouts(lots, least_permille=body.validated_data["least_permille"])
        rows = rows_of(answer)
        facts = {"total_mg": answer.total_mg, "holders": rows, "gone": answer.gone}
        return Response(self.get_serializer(facts).data)
