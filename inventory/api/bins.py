"""Bins with what they hold."""

from django.db.models import Prefetch
from django_filters.rest_framework import FilterSet
from rest_framework import serializers

from inventory.actions.bins import BinPlan, create_bin, retire_bin
from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import ColourField, MassField, PolymerField, TextField
from inventory.api.filters import WordFilter, YesNoFilter
from inventory.api.names import by_code_or_name, found
from inventory.api.reads import ListView, OneView
from inventory.models import Bin, Lot

FACTS = ("name", "place", "tare_mg", "capacity_mg", "polymer", "colour")


class FillSerializer(serializers.Serializer):
    """What a bin holds now."""

    lot = serializers.CharField(source="code")
    polymer = serializers.CharField(source="polymer.symbol", allow_null=True)
    colour = serializers.CharField(source="colour.name")
    form = serializers.CharField()
    held_mg = serializers.IntegerField()
    on_hold = serializers.BooleanField(source="is_held")


class BinSerializer(serializers.Serializer):
    """A labelled container; masses in mg, null polymer or colour: any."""

    code = serializers.CharField()
    name = serializers.CharField()
    place = serializers.CharField()
    tare_mg = serializers.IntegerField()
    capacity_mg = serializers.IntegerField()
    polymer = serializers.CharField(source="polymer.symbol", allow_null=True)
    colour = serializers.CharField(source="colour.name", allow_null=True)


class FilledBinSerializer(BinSerializer):
    """A bin with its fill, null when it is empty."""

    retired_at = serializers.DateTimeField(allow_null=True)
    fill = serializers.SerializerMethodField()

    def get_fill(self, bin) -> FillSerializer(allow_null=True):
        return FillSerializer(bin.open_lots[0]).data if bin.open_lots else None


class BinAnswer(BinSerializer):
    """A bin as it was put into use."""

    change = ChangeSerializer()


class BinBody(ActBody):
    """A new bin."""

    name = TextField(max_length=20)
    capacity_mg = MassField()
    tare_mg = MassField(min_value=0, default=0)
    place = TextField(max_length=60, allow_blank=True, default="")
    polymer = PolymerField(allow_null=True, default=None)
    colour = ColourField(allow_null=True, default=None)


def filled_bins():
    """Return bins with their fills, in two queries however many."""
    fills = Lot.objects.open().with_hold().select_related("polymer", "colour")
    open_lots = Prefetch("lots", queryset=fills, to_attr="open_lots")
    return Bin.objects.select_related("polymer", "colour").prefetch_related(open_lots)


class BinFilters(FilterSet):
    """Narrows bins."""

    polymer = WordFilter("polymer__symbol")
    colour = WordFilter("colour__name")
    place = WordFilter("place")
    retired = YesNoFilter(field_name="retired_at", method="by_retirement")

    def by_retirement(self, rows, name, is_retired):
        return rows.filter(retired_at__isnull=not is_retired)


class Bins(ActView, ListView):
    """Every bin with its fill; POST puts a new one into use."""

    act = "bin.create"
    queryset = filled_bins()
    serializer_class = FilledBinSerializer
    filterset_class = BinFilters
    search_fields = ("name", "code", "place")
    ordering_fields = ("name", "place", "capacity_mg")
    body_class = BinBody
    answer_class = BinAnswer

    def perform(self, sent, act):
        facts = {name: sent[name] for name in FACTS}
        bin = create_bin(plan=BinPlan(**facts), act=act)
        return facts | {"code": bin.code, "change": change_of(act)}


class OneBin(OneView):
    """One bin, by code or shop name, with its fill."""

    queryset = filled_bins()
    serializer_class = FilledBinSerializer
    find = staticmethod(by_code_or_name)


class RetireAnswer(serializers.Serializer):
    """The bin that was taken out of use."""

    bin = serializers.CharField()
    change = ChangeSerializer()


class Retire(ActView):
    """Take an empty bin out of use."""

    act = "bin.retire"
    queryset = Bin.objects.all()
    lookup_field = "code"
    body_class = ActBody
    answer_class = RetireAnswer

    def perform(self, sent, act):
        bin = found(by_code_or_name(self.get_queryset(), self.kwargs["code"]))
        return {"bin": retire_bin(bin=bin, act=act).code, "change": change_of(act)}
