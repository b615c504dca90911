"""Passports issued anew in one act, as after a correction of the book."""

from rest_framework import serializers

from inventory.api.acts import ActView, ReasonBody
from products.actions.corrections import reissue_passports
from products.api.parts import PartField
from products.models import Passport
from products.queries.stale_passports import MOST_COMPARED


class ReissueBody(ReasonBody):
    """Which parts get a new version of their passport, such as those that `passports/stale/` lists."""

    parts = serializers.ListField(child=PartField(), min_length=1, max_length=MOST_COMPARED)


class ReissuedSerializer(serializers.Serializer):
    """A version that was issued."""

    uuid = serializers.UUIDField()
    part = serializers.CharField(source="part.code")
    version = serializers.IntegerField()


class ReissuesSerializer(serializers.Serializer):
    """The versions that one act issued."""

    passports = ReissuedSerializer(many=True)


class Reissues(ActView):
    """Issue passports anew in one act; the old versions stay."""

    act = "passport.issue"
    queryset = Passport.objects.none()
    body_class = ReissueBody
    answer_class = ReissuesSerializer

    def perform(self, sent, act):
        return {"passports": reissue_passports(parts=sent["parts"], act=act)}
