"""Counts of bins: the book held against a scale, and corrected."""

from django.utils.translation import gettext as _
from django_filters.rest_framework import FilterSet
from rest_framework import serializers

from inventory.actions.counts import Accepted, count_bin
from inventory.api.acts import ActView, ReasonBody
from inventory.api.fields import BinField, MassField, ScaleField, TextField, WholeField
from inventory.api.filters import MomentFilter, WordFilter, YesNoFilter
from inventory.api.names import found
from inventory.api.reads import ListView, OneView
from inventory.models import Reading, Round
from inventory.queries.counts import count_list
from inventory.queries.rounds import stop_of


class CountSerializer(serializers.Serializer):
    """One accepted weighing of a bin beside its book, as it was written; masses in mg."""

    uuid = serializers.UUIDField()
    bin = serializers.CharField(source="bin.code")
    lot = serializers.CharField(source="lot.code", allow_null=True)
    round = serializers.IntegerField(source="stop.round_id", allow_null=True)
    book_mg = serializers.IntegerField()
    shown_mg = serializers.IntegerField()
    tare_mg = serializers.IntegerField()
    net_mg = serializers.IntegerField()
    difference_mg = serializers.IntegerField()
    tolerance_mg = serializers.SerializerMethodField()
    scale = serializers.CharField(source="scale.name", allow_null=True)
    agrees = serializers.SerializerMethodField()
    posting = serializers.UUIDField(source="posting.uuid", allow_null=True)
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    reason = serializers.CharField()

    def get_tolerance_mg(self, count) -> int:
        return round(count.expanded_mg)

    def get_agrees(self, count) -> bool:
        return count.posting is None


class StandingCountSerializer(CountSerializer):
    """A count with what became of it since."""

    reversed_by = serializers.UUIDField(source="posting.reversed_by.uuid", allow_null=True)


class CountBody(ReasonBody):
    """What a scale shows of a bin, and what the book said when it was accepted."""

    bin = BinField()
    shown_mg = MassField(min_value=0, help_text="What the scale shows; 0 for nothing.")
    tare_mg = MassField(
        min_value=0,
        required=False,
        allow_null=True,
        help_text="To be taken off. Null or left out: the bin's own; 0: the mass is net.",
    )
    scale = ScaleField(required=False, allow_null=True)
    book_mg = MassField(min_value=0, help_text="What the book said when this was accepted.")
    lot = TextField(
        max_length=12, allow_null=True, help_text="The fill that the book named; null for none."
    )
    confirmed = serializers.BooleanField(
        default=False, help_text="A surprising reading was looked at again and is right."
    )
    like_last = serializers.BooleanField(
        default=False, help_text="In a bin empty by the book lies what it held last."
    )
    round = WholeField(required=False, allow_null=True, help_text="The round it belongs to.")

    def validate(self, attrs):
        attrs["stop"] = None
        if number := attrs.get("round"):
            walk = Round.objects.filter(pk=number).first()
            attrs["stop"] = stop_of(walk, attrs["bin"]) if walk else None
            if attrs["stop"] is None:
                raise serializers.ValidationError({"round": [_("This bin is not on that round.")]})
        return attrs


class CountFilters(FilterSet):
    """Narrows counts."""

    bin = WordFilter("bin__name")
    by = WordFilter("by__username")
    happened_from = MomentFilter(field_name="happened_at", lookup_expr="gte")
    happened_until = MomentFilter(field_name="happened_at", lookup_expr="lte")
    agrees = YesNoFilter(field_name="posting", method="by_verdict")
    reversed = YesNoFilter(field_name="posting", method="by_reversal")

    def by_verdict(self, rows, name, agrees):
        return rows.filter(posting__isnull=agrees)

    def by_reversal(self, rows, name, is_reversed):
        return rows.filter(posting__reversed_by__isnull=not is_reversed)


class Counts(ActView, ListView):
    """Every count; POST accepts what a scale shows of a bin, and corrects the book to it."""

    act = "bin.count"
    queryset = count_list()
    serializer_class = StandingCountSerializer
    filterset_class = CountFilters
    search_fields = ("bin__name", "reason")
    ordering_fields = ("happened_at", "recorded_at")
    body_class = CountBody
    answer_class = CountSerializer

    def perform(self, sent, act):
        reading = Reading(sent["shown_mg"], sent.get("scale"), sent.get("tare_mg"))
        accepted = Accepted(
            lot=sent["lot"] or "",
            book_mg=sent["book_mg"],
            is_confirmed=sent["confirmed"],
            is_last=sent["like_last"],
        )
        count_bin(bin=sent["bin"], reading=reading, accepted=accepted, stop=sent["stop"], act=act)
        return count_list().get(uuid=act.key)


class OneCount(OneView):
    """One count by its UUID."""

    queryset = count_list()
    serializer_class = StandingCountSerializer
    lookup_field = "uuid"

    def get_object(self):
        return found(self.get_queryset().filter(uuid=self.kwargs["uuid"]).first())
