"""Rounds through the bins: started, bins skipped, finished."""

from django_filters.rest_framework import FilterSet
from rest_framework import serializers

from inventory.actions.rounds import RoundPlan, finish_round, skip_bin, start_round
from inventory.api.acts import ActBody, ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import BinField, TextField, WholeField
from inventory.api.filters import WordFilter, YesNoFilter
from inventory.api.names import found
from inventory.api.reads import ListView, OneView
from inventory.models import Round
from inventory.queries.rounds import progress_of, round_list

MOST_DAYS = 3660


class RoundSerializer(serializers.Serializer):
    """A round with how far it is."""

    id = serializers.IntegerField()
    number = serializers.CharField()
    place = serializers.CharField()
    note = serializers.CharField()
    started_at = serializers.DateTimeField()
    started_by = serializers.CharField(source="started_by.username")
    finished_at = serializers.DateTimeField(allow_null=True)
    finished_by = serializers.CharField(source="finished_by.username", allow_null=True)
    total = serializers.IntegerField()
    done = serializers.IntegerField()


class StopSerializer(serializers.Serializer):
    """One bin on the route: open, agreed, corrected, skipped or retired."""

    position = serializers.IntegerField(source="stop.position")
    bin = serializers.CharField(source="bin.code")
    name = serializers.CharField(source="bin.name")
    place = serializers.CharField(source="bin.place")
    state = serializers.CharField()
    count = serializers.UUIDField(source="count.uuid", allow_null=True)
    difference_mg = serializers.IntegerField(source="count.difference_mg", allow_null=True)
    by = serializers.CharField(source="by.username", allow_null=True)
    at = serializers.DateTimeField(allow_null=True)
    reason = serializers.CharField()
    reversed = serializers.BooleanField(source="was_reversed")


class WholeRoundSerializer(serializers.Serializer):
    """A round with every stop, and what it changed in the book, in mg."""

    id = serializers.IntegerField(source="round.pk")
    number = serializers.CharField(source="round.number")
    place = serializers.CharField(source="round.place")
    note = serializers.CharField(source="round.note")
    started_at = serializers.DateTimeField(source="round.started_at")
    started_by = serializers.CharField(source="round.started_by.username")
    finished_at = serializers.DateTimeField(source="round.finished_at", allow_null=True)
    total = serializers.IntegerField()
    done = serializers.IntegerField()
    more_mg = serializers.IntegerField()
    less_mg = serializers.IntegerField()
    net_mg = serializers.IntegerField()
    stops = StopSerializer(source="rows", many=True)


class RoundBody(ActBody):
    """A new round: a place or everywhere; with days, bins not counted for so long."""

    place = TextField(max_length=60, allow_blank=True, default="")
    days = WholeField(min_value=0, max_value=MOST_DAYS, default=0)
    note = TextField(max_length=120, allow_blank=True, default="")


class RoundAnswer(serializers.Serializer):
    """A round as it was started."""

    id = serializers.IntegerField()
    number = serializers.CharField()
    change = ChangeSerializer()


class RoundFilters(FilterSet):
    """Narrows rounds."""

    place = WordFilter("place")
    open = YesNoFilter(field_name="finished_at", method="by_state")

    def by_state(self, rows, name, is_open):
        return rows.filter(finished_at__isnull=is_open)


class Rounds(ActView, ListView):
    """Every round, newest first; POST starts one."""

    act = "round.start"
    queryset = round_list()
    serializer_class = RoundSerializer
    filterset_class = RoundFilters
    search_fields = ("place", "note")
    ordering_fields = ("started_at",)
    body_class = RoundBody
    answer_class = RoundAnswer

    def perform(self, sent, act):
        plan = RoundPlan(**{name: sent[name] for name in ("place", "days", "note")})
        walk = start_round(plan=plan, act=act)
        return {"id": walk.pk, "number": walk.number, "change": change_of(act)}


class OneRound(OneView):
    """One round with every stop."""

    queryset = Round.objects.select_related("started_by")
    serializer_class = WholeRoundSerializer
    lookup_field = "id"

    def get_object(self):
        return progress_of(found(self.get_queryset().filter(pk=self.kwargs["id"]).first()))


class RoundActView(ActView):
    """An act on the round in the address."""

    queryset = Round.objects.all()
    lookup_field = "id"

    def walk(self) -> Round:
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())


class SkipBody(ReasonBody):
    """A bin that is passed over, with the reason."""

    bin = BinField()


class SkipAnswer(serializers.Serializer):
    """The bin that was passed over."""

    round = serializers.IntegerField()
    bin = serializers.CharField()
    change = ChangeSerializer()


class Skips(RoundActView):
    """Pass over a bin of a round with a reason."""

    act = "round.skip"
    body_class = SkipBody
    answer_class = SkipAnswer

    def perform(self, sent, act):
        stop = skip_bin(walk=self.walk(), bin=sent["bin"], act=act)
        return {"round": stop.round_id, "bin": sent["bin"].code, "change": change_of(act)}


class FinishAnswer(serializers.Serializer):
    """The round that was finished."""

    round = serializers.IntegerField()
    change = ChangeSerializer()


class Finish(RoundActView):
    """Finish a round; what is still to do is skipped with the reason given."""

    act = "round.finish"
    body_class = ReasonBody
    answer_class = FinishAnswer

    def perform(self, sent, act):
        walk = finish_round(walk=self.walk(), act=act)
        return {"round": walk.pk, "change": change_of(act)}
