"""Documents of other workshops: looked at, then brought in with the delivery of their lot."""

from django.utils.translation import gettext_lazy as _
from rest_framework import serializers, status
from rest_framework.response import Response

from inventory.actions.lineages import bring_delivery
from inventory.api.access import ApiView, JsonBody
from inventory.api.acts import ActView, Body
from inventory.api.deliveries import ReceiptBody, ReceivedAnswer, receipt_of
from inventory.api.fields import TextField
from inventory.api.names import found
from inventory.api.postings import posting_of
from inventory.api.reads import OneView
from inventory.calculations.codes import normalise_code
from inventory.calculations.epcis_reading import MOST_BYTES
from inventory.models import Lineage, OriginClass
from inventory.queries.lineages import Brought, brought_of

LONGEST_ID = 300


class LargeJsonBody(JsonBody):
    """JSON as everywhere, but long enough for a document."""

    most_bytes = MOST_BYTES


class DocumentField(serializers.JSONField):
    """A document as JSON, as it was exported."""

    def to_internal_value(self, data):
        if not isinstance(data, dict):
            raise serializers.ValidationError(_("Send the document as an object."), code="invalid")
        return data


class LookBody(Body):
    """A document, and which lot of it is meant; left out: the first that it can bring."""

    document = DocumentField()
    lot = TextField(max_length=LONGEST_ID, required=False, allow_blank=True, default="")


class BringBody(ReceiptBody):
    """A delivery of a foreign lot, with its document; where it counts as coming from stands there."""

    document = DocumentField()
    lot = TextField(max_length=LONGEST_ID)
    origin_class = serializers.ChoiceField(
        choices=OriginClass.choices, required=False, default=OriginClass.UNKNOWN
    )


class FaultSerializer(serializers.Serializer):
    """What is wrong at a place in a document, a JSON pointer."""

    pointer = serializers.CharField()
    rule = serializers.CharField()
    sentence = serializers.CharField()


class ShareSerializer(serializers.Serializer):
    """An origin in another workshop; its share is a numerator over a denominator."""

    foreign_id = serializers.CharField()
    origin_class = serializers.CharField()
    polymer = serializers.CharField(allow_null=True)
    colour = serializers.CharField()
    source = serializers.CharField()
    numerator = serializers.IntegerField()
    denominator = serializers.IntegerField()


class PassesSerializer(serializers.Serializer):
    """A share by how often it was melted before it came."""

    count = serializers.IntegerField()
    numerator = serializers.IntegerField()
    denominator = serializers.IntegerField()


class LookSerializer(serializers.Serializer):
    """What a document would bring: nothing while it has faults."""

    lot = serializers.CharField(allow_null=True)
    choices = serializers.ListField(child=serializers.CharField())
    workshop = serializers.CharField()
    faults = FaultSerializer(many=True)
    received_as = serializers.CharField(allow_null=True)
    lots_behind = serializers.IntegerField()
    origins = ShareSerializer(many=True)
    passes = PassesSerializer(many=True)


class LineageSerializer(serializers.Serializer):
    """What a document told of a delivery, as it is kept."""

    foreign_id = serializers.CharField()
    workshop = serializers.CharField()
    digest = serializers.CharField()
    lots_behind = serializers.IntegerField()
    origins = serializers.SerializerMethodField()
    passes = PassesSerializer(many=True)

    def get_origins(self, lineage) -> list[dict]:
        names = ("foreign_id", "origin_class", "colour", "source", "numerator", "denominator")
        return [
            {"polymer": row.polymer.symbol if row.polymer else None}
            | {name: getattr(row, name) for name in names}
            for row in lineage.origins.all()
        ]


class Look(ApiView):
    """What a document would bring and what is wrong with it; nothing is written."""

    parser_classes = [LargeJsonBody]
    body_class = LookBody
    answer_class = LookSerializer
    answer_status = status.HTTP_200_OK

    def post(self, request):
        body = self.body_class(data=request.data)
        body.is_valid(raise_exception=True)
        told = looked_at(brought_of(**body.validated_data))
        return Response(self.answer_class(told).data)


def looked_at(found: Brought) -> dict:
    """Return what a document would bring in plain values."""
    lineage = None if found.faults else found.lineage
    ratio = ("numerator", "denominator")
    return {
        "lot": lineage.lot if lineage else None,
        "choices": found.choices,
        "workshop": found.workshop,
        "faults": found.faults,
        "received_as": found.earlier.number if found.earlier else None,
        "lots_behind": lineage.lots if lineage else 0,
        "origins": [
            {"foreign_id": each.id, "polymer": each.polymer or None}
            | {name: getattr(each, name) for name in ("origin_class", "colour", "source")}
            | dict(zip(ratio, share, strict=True))
            for each, share in (lineage.beginnings.items() if lineage else ())
        ],
        "passes": [
            {"count": count, **dict(zip(ratio, share, strict=True))}
            for count, share in (lineage.passes.items() if lineage else ())
        ],
    }


class Bring(ActView):
    """Receive a foreign lot with its document; its shares count in every trace and claim."""

    act = "lineage.bring"
    parser_classes = [LargeJsonBody]
    body_class = BringBody
    answer_class = ReceivedAnswer

    def perform(self, sent, act):
        facts = {"document": sent["document"], "lot": sent["lot"], "bin": sent.get("bin")}
        facts["is_confirmed"] = sent["confirmed"]
        delivery = bring_delivery(receipt=receipt_of(sent), act=act, **facts)
        delivery.posting = posting_of(delivery.uuid)
        return delivery


class OneLineage(OneView):
    """What a document told of a delivery, by the delivery's code."""

    queryset = Lineage.objects.defer("document").prefetch_related("origins__polymer", "passes")
    serializer_class = LineageSerializer

    def get_object(self):
        code = normalise_code(self.kwargs["code"])
        return found(self.get_queryset().filter(lot__code=code).first() if code else None)
