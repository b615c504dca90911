"""Marks: reading one, the mark of a lot, what a part of a design must say."""

from dataclasses import asdict

from rest_framework import serializers, status
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.api.acts import Body
from inventory.api.fields import TextField
from inventory.api.names import found
from inventory.api.reads import OneView
from inventory.api.schemas import ApiSchema, RefusalSerializer
from inventory.models import Lot
from products.calculations.marks import MarkError, explain, parse
from products.models import Design
from products.queries.marks import mark_of_lot, marking_of, marking_of_design, spoken
from products.queries.sentences import said

LONGEST_MARK = 120


class ConstituentSerializer(serializers.Serializer):
    """A polymer of a mark with the letters of its characteristics and its plasticiser."""

    symbol = serializers.CharField()
    characteristics = serializers.CharField()
    plasticiser = serializers.CharField()


class FillerSerializer(serializers.Serializer):
    """A filler: its type and form, per cent by mass, the symbol of a metal."""

    kind = serializers.CharField()
    form = serializers.CharField()
    percent = serializers.IntegerField(allow_null=True)
    metal = serializers.CharField()


class RecyclateSerializer(serializers.Serializer):
    """A note of recycled plastic."""

    percent = serializers.IntegerField(allow_null=True)


class LayerSerializer(serializers.Serializer):
    """Polymers, the main one first, and what was added to them."""

    constituents = ConstituentSerializer(many=True)
    fillers = FillerSerializer(many=True)
    fillers_percent = serializers.IntegerField(allow_null=True)
    flame_code = serializers.IntegerField(allow_null=True)
    recyclate = RecyclateSerializer(allow_null=True)


class MarkSerializer(serializers.Serializer):
    """A mark, its tree and what it says in sentences."""

    text = serializers.CharField()
    layers = LayerSerializer(many=True)
    explanation = serializers.ListField(child=serializers.CharField())


class MarkRefusalSerializer(RefusalSerializer):
    """Why a text is no mark, and where."""

    position = serializers.IntegerField(help_text="Index of the character, from 0.")
    suggestion = serializers.CharField(help_text="A text nearer to a mark, or empty.")


class MarkSchema(ApiSchema):
    """Says that a text that is no mark is answered with its position."""

    def get_response_serializers(self):
        return super().get_response_serializers() | {422: MarkRefusalSerializer}


class MarkBody(Body):
    """A text that may be a mark."""

    text = TextField(max_length=LONGEST_MARK, trim_whitespace=False)


class ParseMark(ApiView):
    """Read a mark after ISO 11469 and explain it, or say where and which rule it breaks."""

    body_class = MarkBody
    answer_class = MarkSerializer
    answer_status = status.HTTP_200_OK
    schema = MarkSchema()

    def post(self, request):
        body = MarkBody(data=request.data)
        body.is_valid(raise_exception=True)
        try:
            mark = parse(body.validated_data["text"])
        except MarkError as error:
            refused = {
                "code": error.code,
                "detail": said(error.rule),
                "fields": {"text": [said(error.sentence)]},
            }
            place = {"position": error.position, "suggestion": error.suggestion}
            return Response(refused | place, status=status.HTTP_422_UNPROCESSABLE_ENTITY)
        told = {
            "text": str(mark),
            "layers": asdict(mark)["layers"],
            "explanation": [said(each) for each in explain(mark)],
        }
        return Response(MarkSerializer(told).data)


class ResinCodeSerializer(serializers.Serializer):
    """A number and the text below it."""

    number = serializers.IntegerField(allow_null=True)
    text = serializers.CharField()


class MarkingSerializer(serializers.Serializer):
    """A mark with what it says and its resin codes; an empty mark has warnings only."""

    text = serializers.CharField()
    sentences = serializers.ListField(child=serializers.CharField())
    resin = ResinCodeSerializer(allow_null=True)
    packaging = ResinCodeSerializer(allow_null=True)
    warnings = serializers.ListField(child=serializers.CharField())


class LotMarkSerializer(MarkingSerializer):
    """The mark of a lot by its make-up, and the polymers below the limit that it leaves out."""

    lot = serializers.CharField()
    left_out = serializers.ListField(child=serializers.CharField())


class LotMark(OneView):
    """The mark of a lot, worked out from its make-up."""

    queryset = Lot.objects.all()
    serializer_class = LotMarkSerializer

    def get(self, request, *args, **kwargs):
        lot = self.get_object()
        mark = mark_of_lot(lot)
        told = vars(spoken(marking_of(mark))) | {"lot": lot.code, "left_out": mark.left_out}
        return Response(LotMarkSerializer(told).data)


class AdviceSerializer(serializers.Serializer):
    """A marking, whether it comes first, may stand there or is not for this, and why."""

    marking = serializers.CharField()
    use = serializers.CharField()
    reasons = serializers.ListField(child=serializers.CharField())


class DesignMarkSerializer(serializers.Serializer):
    """What a part of a design must say; without markings it follows the lot."""

    markings = MarkingSerializer(many=True)
    advice = AdviceSerializer(many=True)


class DesignMark(OneView):
    """What a part of a design must say, which of the three codes it needs, and why."""

    queryset = Design.objects.prefetch_related("polymers")
    serializer_class = DesignMarkSerializer
    lookup_field = "id"

    def get_object(self):
        design = found(self.get_queryset().filter(pk=self.kwargs["id"]).first())
        return marking_of_design(design)
