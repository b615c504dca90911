"""Deliveries: received into a bin or onto the floor, or refused."""

from django.utils.translation import gettext as _
from django_filters.rest_framework import ChoiceFilter, DateFilter, FilterSet
from rest_framework import serializers

from inventory.actions.deliveries import Receipt, receive_delivery, refuse_delivery
from inventory.api.acts import ActBody, ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import (
    BinField,
    ColourField,
    ConfirmedField,
    DayField,
    MassField,
    PolymerField,
    ScaleField,
    SourceField,
    TextField,
)
from inventory.api.filters import WordFilter, YesNoFilter
from inventory.api.postings import PostingSerializer, posting_of
from inventory.api.prices import PerKgField
from inventory.api.reads import ListView, OneView
from inventory.models import Condition, Form, Identification, OriginClass
from inventory.queries.deliveries import delivery_list

FACTS = tuple(name for name in Receipt.__dataclass_fields__ if name != "photo")


class DeliverySerializer(serializers.Serializer):
    """One weighed receipt as it was written; masses in mg, lot null when it was refused."""

    uuid = serializers.UUIDField()
    code = serializers.CharField()
    number = serializers.CharField()
    lot = serializers.CharField(source="lot.code", allow_null=True)
    source = serializers.CharField(source="source.name")
    delivered_on = serializers.DateField()
    gross_mg = serializers.IntegerField(allow_null=True)
    tare_mg = serializers.IntegerField(allow_null=True)
    net_mg = serializers.IntegerField()
    scale = serializers.CharField(source="scale.name", allow_null=True)
    polymer = serializers.CharField(source="polymer.symbol", allow_null=True)
    identified_by = serializers.CharField()
    colour = serializers.CharField(source="colour.name")
    form = serializers.CharField()
    origin_class = serializers.CharField()
    former_use = serializers.CharField()
    condition = serializers.CharField()
    supplier_lot = serializers.CharField()
    tests = serializers.CharField()
    note = serializers.CharField()
    refusal = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username")


class ReceivedAnswer(DeliverySerializer):
    """A delivery and the posting that took it in."""

    posting = PostingSerializer()


class RefusedAnswer(DeliverySerializer):
    """A delivery and the act that turned it away."""

    change = ChangeSerializer()


class ReceiptFields(serializers.Serializer):
    """What was read off the scale and the papers: net, or gross and tare."""

    source = SourceField()
    delivered_on = DayField()
    net_mg = MassField(required=False, allow_null=True)
    gross_mg = MassField(required=False, allow_null=True)
    tare_mg = MassField(required=False, allow_null=True, min_value=0)
    scale = ScaleField(required=False, allow_null=True)
    polymer = PolymerField(required=False, allow_null=True)
    identified_by = serializers.ChoiceField(choices=Identification.choices)
    colour = ColourField()
    form = serializers.ChoiceField(choices=Form.choices)
    origin_class = serializers.ChoiceField(choices=OriginClass.choices)
    former_use = TextField(max_length=200, allow_blank=True, default="")
    condition = serializers.ChoiceField(choices=Condition.choices, default=Condition.CLEAN)
    supplier_lot = TextField(max_length=60, allow_blank=True, default="")
    tests = TextField(max_length=300, allow_blank=True, default="")
    note = TextField(max_length=2000, allow_blank=True, default="")

    def validate(self, attrs):
        gross_mg, tare_mg, net_mg = (attrs.get(f"{name}_mg") for name in ("gross", "tare", "net"))
        if (gross_mg is None) != (tare_mg is None):
            raise serializers.ValidationError({"tare_mg": [_("Send gross and tare together.")]})
        if net_mg is None and gross_mg is None:
            raise serializers.ValidationError({"net_mg": [_("Send net, or gross and tare.")]})
        return attrs | ({"net_mg": gross_mg - tare_mg} if net_mg is None else {})


class ReceiptBody(ReceiptFields, ActBody):
    """A delivery to be received."""

    bin = BinField(required=False, allow_null=True)
    per_kg = PerKgField(required=False, help_text="What a kilogram cost; null: not known yet.")
    confirmed = ConfirmedField()


class RefusalBody(ReceiptFields, ReasonBody):
    """A delivery to be turned away."""


def receipt_of(sent: dict) -> Receipt:
    """Return the receipt that a valid body describes."""
    return Receipt(**{name: sent[name] for name in FACTS if name in sent})


class DeliveryFilters(FilterSet):
    """Narrows deliveries."""

    source = WordFilter("source__name")
    polymer = WordFilter("polymer__symbol")
    colour = WordFilter("colour__name")
    form = ChoiceFilter(choices=Form)
    origin_class = ChoiceFilter(choices=OriginClass)
    condition = ChoiceFilter(choices=Condition)
    identified_by = ChoiceFilter(choices=Identification)
    refused = YesNoFilter(field_name="lot", lookup_expr="isnull")
    delivered_from = DateFilter(field_name="delivered_on", lookup_expr="gte")
    delivered_until = DateFilter(field_name="delivered_on", lookup_expr="lte")


class Deliveries(ActView, ListView):
    """Every delivery, newest first; POST receives one."""

    act = "delivery.receive"
    queryset = delivery_list()
    serializer_class = DeliverySerializer
    filterset_class = DeliveryFilters
    search_fields = ("code", "source__name", "supplier_lot", "former_use", "note")
    ordering_fields = ("delivered_on", "recorded_at", "net_mg")
    body_class = ReceiptBody
    answer_class = ReceivedAnswer

    def perform(self, sent, act):
        more = {"bin": sent.get("bin"), "per_kg": sent.get("per_kg")}
        more["is_confirmed"] = sent["confirmed"]
        delivery = receive_delivery(receipt=receipt_of(sent), act=act, **more)
        delivery.posting = posting_of(act.key)
        return delivery


class DeliveryRefusals(ActView):
    """Turn a delivery away with a reason; it stays on record."""

    act = "delivery.refuse"
    body_class = RefusalBody
    answer_class = RefusedAnswer

    def perform(self, sent, act):
        delivery = refuse_delivery(receipt=receipt_of(sent), act=act)
        delivery.change = change_of(act)
        return delivery


class OneDelivery(OneView):
    """One delivery by its code."""

    queryset = delivery_list()
    serializer_class = DeliverySerializer
