"""Codes: what a scanned or typed text means, alone or where it is scanned."""

from functools import partial

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.queries.access import may
from products.api.files import query
from workshop.queries.scans import answer_to, spot_of


class ScanAnswerSerializer(serializers.Serializer):
    """What a text means; kind, name, code and url are empty when nothing here answers to it."""

    text = serializers.CharField()
    kind = serializers.CharField(
        help_text="bin, lot, delivery, part, run, posting, or empty when nothing answers to it."
    )
    name = serializers.CharField()
    code = serializers.CharField(help_text="A text that leads to the same thing again.")
    url = serializers.CharField(help_text="The page that it leads to.")
    fits = serializers.BooleanField(help_text="False: `sentence` says why it cannot be used there.")
    sentence = serializers.CharField()


ASKED = [query("text", required=True)] + [
    query(name) for name in ("run", "stage", "kind", "round", "task")
]


@extend_schema(parameters=ASKED)
class OneCode(ApiView):
    """What a text means; the other parameters say on which page it was scanned."""

    serializer_class = ScanAnswerSerializer
    pagination_class = None

    def get(self, request):
        asked = request.query_params.dict()
        found = answer_to(asked.get("text", ""), spot_of(asked), partial(may, request.user))
        return Response(self.serializer_class(found).data)
