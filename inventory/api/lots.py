"""Lots, and what is done to one: moved, disposed of, written off, identified."""

from django.db.models import F
from django.utils.translation import gettext_lazy as _
from django_filters.rest_framework import CharFilter, ChoiceFilter, FilterSet
from rest_framework import serializers

from inventory.actions.lots import dispose_lot, identify_lot, move_lot, write_off_lot
from inventory.api.acts import (
    ActView,
    ChangeSerializer,
    FromBody,
    ReasonBody,
    WeighedBody,
    change_of,
    lot_meant,
    weighed,
)
from inventory.api.fields import BinField, PolymerField
from inventory.api.filters import MomentFilter, WordFilter, YesNoFilter
from inventory.api.names import by_code, found
from inventory.api.postings import PostingSerializer, answered
from inventory.api.reads import ListView, OneView
from inventory.models import Form, Identification, Lot, OriginClass
from inventory.queries.lots import lot_list, of_run


class BinNameSerializer(serializers.Serializer):
    """A bin by code and shop name."""

    code = serializers.CharField()
    name = serializers.CharField()


class LotSerializer(serializers.Serializer):
    """An identified quantity of one material; masses in mg."""

    code = serializers.CharField()
    kind = serializers.CharField()
    polymer = serializers.CharField(source="polymer.symbol", allow_null=True)
    mark = serializers.CharField()
    colour = serializers.CharField(source="colour.name")
    form = serializers.CharField()
    origin_class = serializers.CharField()
    source = serializers.CharField(source="delivery.source.name", allow_null=True)
    bin = BinNameSerializer(allow_null=True)
    in_mg = serializers.IntegerField()
    out_mg = serializers.IntegerField()
    held_mg = serializers.IntegerField()
    spoken_for_mg = serializers.IntegerField(allow_null=True)
    on_hold = serializers.BooleanField(source="is_held")
    opened_at = serializers.DateTimeField()
    closed_at = serializers.DateTimeField(allow_null=True)


class LotFilters(FilterSet):
    """Narrows lots."""

    kind = ChoiceFilter(choices=Lot.Kind)
    polymer = WordFilter("polymer__symbol")
    colour = WordFilter("colour__name")
    form = ChoiceFilter(choices=Form)
    origin_class = ChoiceFilter(choices=OriginClass)
    bin = WordFilter("bin__name")
    open = YesNoFilter(field_name="out_mg", method="by_contents")
    on_hold = YesNoFilter(field_name="holds", method="by_hold")
    run = CharFilter(method="by_run", label=_("Filled by a run, by its number such as R-0042"))
    opened_from = MomentFilter(field_name="opened_at", lookup_expr="gte")
    opened_until = MomentFilter(field_name="opened_at", lookup_expr="lte")

    def by_contents(self, rows, name, is_open):
        return rows.filter(out_mg__lt=F("in_mg")) if is_open else rows.filter(out_mg=F("in_mg"))

    def by_run(self, rows, name, number):
        return of_run(rows, number)

    def by_hold(self, rows, name, is_held):
        return rows.filter(is_held=is_held)


class Lots(ListView):
    """Every lot that took something, newest first."""

    queryset = lot_list()
    serializer_class = LotSerializer
    filterset_class = LotFilters
    search_fields = ("code", "bin__name", "delivery__source__name", "delivery__supplier_lot")
    ordering_fields = ("opened_at", "in_mg", "out_mg")


class OneLot(OneView):
    """One lot, also one whose filling was reversed."""

    queryset = Lot.objects.with_hold().select_related(
        "polymer", "colour", "bin", "delivery__source"
    )
    serializer_class = LotSerializer


class LotActView(ActView):
    """An act on the lot in the address."""

    queryset = Lot.objects.select_related("polymer", "colour", "bin")
    lookup_field = "code"

    def lot(self) -> Lot:
        return found(by_code(self.get_queryset(), self.kwargs["code"]))


class MoveBody(FromBody, WeighedBody):
    """A move into a bin."""

    to_bin = BinField()


class Moves(ActView):
    """Move part or all of a lot, or of what a bin holds, into a bin."""

    act = "lot.move"
    body_class = MoveBody
    answer_class = PostingSerializer

    def perform(self, sent, act):
        lot = lot_meant(sent, "source")
        return answered(move_lot(lot=lot, bin=sent["to_bin"], mass=weighed(sent), act=act))


class DisposalBody(FromBody, WeighedBody, ReasonBody):
    """A disposal with its reason."""


class Disposals(ActView):
    """Throw away part or all of a lot, or of what a bin holds, with a reason."""

    act = "lot.dispose"
    body_class = DisposalBody
    answer_class = PostingSerializer

    def perform(self, sent, act):
        return answered(dispose_lot(lot=lot_meant(sent, "lot"), mass=weighed(sent), act=act))


class WriteOffBody(FromBody, ReasonBody):
    """A bin found empty, with the reason."""


class WriteOffs(ActView):
    """Book out what the book holds of a lot that was found gone, with a reason."""

    act = "bin.empty"
    body_class = WriteOffBody
    answer_class = PostingSerializer

    def perform(self, sent, act):
        return answered(write_off_lot(lot=lot_meant(sent, "lot"), act=act))


class IdentifyBody(ReasonBody):
    """What an unknown lot turned out to be."""

    polymer = PolymerField()
    identified_by = serializers.ChoiceField(choices=Identification.choices)


class IdentifyAnswer(serializers.Serializer):
    """What a lot was said to be."""

    lot = serializers.CharField()
    polymer = serializers.CharField()
    identified_by = serializers.CharField()
    change = ChangeSerializer()


class Identify(LotActView):
    """Say what an unknown lot is and how that was told."""

    act = "lot.identify"
    body_class = IdentifyBody
    answer_class = IdentifyAnswer

    def perform(self, sent, act):
        facts = {name: sent[name] for name in ("polymer", "identified_by")}
        lot = identify_lot(lot=self.lot(), act=act, **facts)
        return facts | {"lot": lot.code, "change": change_of(act)}
