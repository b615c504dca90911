"""Passports: the versions of a part's public page, issued and issued anew."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.acts import Body, ChangeSerializer, ReasonBody, change_of
from inventory.api.names import found
from inventory.api.paging import NumberedPages
from inventory.api.reads import ListView
from products.actions.passports import issue_passport
from products.api.parts import PartActView
from products.models import Part
from products.queries.passports import passport_of
from products.queries.stale_passports import stale_passports

MOST_VERSION = 32_767


class PassportSerializer(serializers.Serializer):
    """One version of a passport with the document it froze; `content.run.settings` is not public."""

    uuid = serializers.UUIDField()
    part = serializers.CharField(source="part.code")
    version = serializers.IntegerField()
    issued_at = serializers.DateTimeField()
    issued_by = serializers.CharField(source="issued_by.username")
    reason = serializers.CharField()
    digest = serializers.CharField()
    content = serializers.DictField()


class PassportAnswer(PassportSerializer):
    """A version as it was issued."""

    change = ChangeSerializer()


class VersionQuery(Body):
    """Which version; left out: the newest."""

    version = serializers.IntegerField(min_value=1, max_value=MOST_VERSION, required=False)


class PartPassport(PartActView):
    """The newest passport of a part, or the version asked for; POST issues the next one."""

    act = "passport.issue"
    body_class = ReasonBody
    answer_class = PassportAnswer
    serializer_class = PassportSerializer

    @extend_schema(parameters=[VersionQuery])
    def get(self, request, *args, **kwargs):
        """Return the newest version, or the one that `version` names."""
        asked = VersionQuery(data=request.query_params)
        asked.is_valid(raise_exception=True)
        version = asked.validated_data.get("version")
        return Response(PassportSerializer(found(passport_of(self.part(), version))).data)

    def perform(self, sent, act):
        passport = issue_passport(part=self.part(), act=act)
        passport.change = change_of(act)
        return passport


class StaleSerializer(serializers.Serializer):
    """A part whose newest passport states figures that the book knows otherwise now."""

    part = serializers.CharField(source="part.code")
    version = serializers.IntegerField(source="passport.version")
    issued_at = serializers.DateTimeField(source="passport.issued_at")
    changed = serializers.ListField(child=serializers.CharField())


class Stale(ListView):
    """Parts whose passport is to be issued anew, the newest part first."""

    queryset = Part.objects.none()
    serializer_class = StaleSerializer
    pagination_class = NumberedPages
    filter_backends = []

    def get_queryset(self):
        return stale_passports()
