"""Parts: made things, handed over and taken back."""

from django_filters.rest_framework import ChoiceFilter, FilterSet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import ConfirmedField, ScannedField, TextField
from inventory.api.filters import MomentFilter, WordFilter
from inventory.api.names import by_code, found
from inventory.api.reads import ListView, OneView
from products.actions.parts import hand_over_part, take_back_part
from products.api.sides import SideField
from products.models import Part
from products.queries.parts import PartState, part_list
from products.queries.spoken_sheets import claims_before, claims_on


class PartField(ScannedField):
    """A part by code."""

    def find(self, text):
        return by_code(Part.objects.select_related("lot__polymer", "lot__colour"), text)


class PartSizeSerializer(serializers.Serializer):
    """How long and wide a sheet is: as its design usually is, or as it was cut."""

    length_mm = SideField("length_um")
    width_mm = SideField("width_um")


class PartSerializer(serializers.Serializer):
    """A made thing, or a bag of the same things; it shares the code of its lot."""

    code = serializers.CharField()
    design = serializers.CharField(source="design.name")
    run = serializers.CharField(source="run_number")
    made_at = serializers.DateTimeField()
    state = serializers.CharField()
    on_hold = serializers.BooleanField(source="is_held")
    held_in = serializers.CharField(allow_null=True)
    bag = serializers.CharField(source="bag.code", allow_null=True)
    pieces = serializers.IntegerField()
    pieces_left = serializers.IntegerField()
    polymer = serializers.CharField(source="lot.polymer.symbol", allow_null=True)
    mark = serializers.CharField(source="lot.mark")
    colour = serializers.CharField(source="lot.colour.name")
    form = serializers.CharField(source="lot.form")
    size = PartSizeSerializer(allow_null=True)
    in_mg = serializers.IntegerField(source="lot.in_mg")
    held_mg = serializers.IntegerField(source="lot.held_mg")


class ClaimSerializer(serializers.Serializer):
    """So many pieces of a sheet that an open run is to cut."""

    run = serializers.CharField(source="label")
    pieces = serializers.IntegerField()


class HandOverAnswer(serializers.Serializer):
    """A part going into use, and the open runs that were to cut it."""

    part = serializers.CharField(source="part.code")
    out_at = serializers.DateTimeField()
    out_by = serializers.CharField(source="out_by.username")
    to = serializers.CharField()
    taken_from = ClaimSerializer(many=True)
    change = ChangeSerializer()


class TakeBackAnswer(HandOverAnswer):
    """A part that came back."""

    taken_from = None
    back_at = serializers.DateTimeField()
    back_by = serializers.CharField(source="back_by.username")
    state_on_return = serializers.CharField()


class PartFilters(FilterSet):
    """Narrows parts."""

    design = WordFilter("design__name")
    polymer = WordFilter("lot__polymer__symbol")
    colour = WordFilter("lot__colour__name")
    state = ChoiceFilter(choices=PartState)
    made_from = MomentFilter(field_name="made_at", lookup_expr="gte")
    made_until = MomentFilter(field_name="made_at", lookup_expr="lte")


class Parts(ListView):
    """Every part that was made, newest first."""

    queryset = part_list()
    serializer_class = PartSerializer
    filterset_class = PartFilters
    search_fields = ("code", "design__name", "made_in__reference")
    ordering_fields = ("made_at", "pieces")


class OnePartSerializer(PartSerializer):
    """A part, and what open runs are to cut of it."""

    spoken_for = serializers.SerializerMethodField()

    @extend_schema_field(ClaimSerializer(many=True))
    def get_spoken_for(self, part) -> list[dict]:
        return ClaimSerializer(claims_on(part), many=True).data


class OnePart(OneView):
    """One part by its code."""

    queryset = part_list()
    serializer_class = OnePartSerializer


class PartActView(ActView):
    """An act on the part in the address."""

    queryset = Part.objects.select_related("lot")
    lookup_field = "code"

    def part(self) -> Part:
        return found(by_code(self.get_queryset(), self.kwargs["code"]))


class HandOverBody(ActBody):
    """A part going into use."""

    to = TextField(max_length=120, allow_blank=True, default="")
    confirmed = ConfirmedField()


class HandOver(PartActView):
    """Hand a part over into use; it stays in the book and may come back."""

    act = "part.hand-over"
    body_class = HandOverBody
    answer_class = HandOverAnswer

    def perform(self, sent, act):
        how = {"to": sent["to"], "is_confirmed": sent["confirmed"]}
        handover = hand_over_part(part=self.part(), act=act, **how)
        handover.change = change_of(act)
        handover.taken_from = claims_before(handover.part, handover.change.recorded_at)
        return handover


class TakeBackBody(ActBody):
    """A part coming back."""

    state = TextField(max_length=200, allow_blank=True, default="")


class TakeBack(PartActView):
    """Take a part back from use."""

    act = "part.take-back"
    body_class = TakeBackBody
    answer_class = TakeBackAnswer

    def perform(self, sent, act):
        handover = take_back_part(part=self.part(), state=sent["state"], act=act)
        handover.change = change_of(act)
        return handover
