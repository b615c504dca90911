"""The whole book, verified while somebody waits."""

from django.core.exceptions import ValidationError as Refusal
from django.utils.translation import gettext as _
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.models import Posting
from inventory.queries.verdicts import MOST_TRANSFERS, verdict
from inventory.queries.verification import CHECKS


class FiguresSerializer(serializers.Serializer):
    """How many rows the book has; masses over the whole of it, in mg."""

    postings = serializers.IntegerField()
    transfers = serializers.IntegerField()
    lots = serializers.IntegerField()
    changes = serializers.IntegerField()
    received_mg = serializers.IntegerField()
    held_mg = serializers.IntegerField()
    gone_mg = serializers.IntegerField()


class VerdictSerializer(serializers.Serializer):
    """The first kind of fault that the checks found, with at most 20 rows at fault."""

    ok = serializers.BooleanField()
    fault = serializers.ChoiceField(choices=sorted(CHECKS), allow_null=True)
    rows = serializers.ListField(child=serializers.CharField())
    figures = FiguresSerializer()
    checks = serializers.ListField(child=serializers.CharField())


class Verification(ApiView):
    """Hold every lot, sum, fingerprint, fixing and checkpoint of the book against the rest of it.

    A book of more than 5,000 transfers is refused as `too-large`: `verify_ledger` verifies it.
    """

    queryset = Posting.objects.none()
    filter_backends = []
    serializer_class = VerdictSerializer

    def get(self, request):
        found = verdict()
        if found is None:
            sentence = _("The book has more than %(most)s transfers; run verify_ledger instead.")
            raise Refusal(sentence % {"most": MOST_TRANSFERS}, code="too-large")
        return Response(self.get_serializer(found).data)
