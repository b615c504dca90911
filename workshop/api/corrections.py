"""Corrections: their effect is asked for first, then accepted with the token of what was shown."""

from django.utils.translation import gettext_lazy as _
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.api.acts import ActBody, ActView, Body
from inventory.api.fields import FoundField, MassField, ScaleField, TextField
from inventory.api.postings import PostingSerializer, posting_rows
from inventory.models import Mass, Posting
from inventory.queries.bins import bin_named
from inventory.queries.corrections import postings_of_correction
from inventory.queries.drafts import Fix
from inventory.queries.lots import lot_with_code
from workshop.actions.corrections import correct_postings, draft_correction
from workshop.queries.corrections import effect_of

MOST_FIXES, PARTS_SHOWN = 20, 100


class PostingField(FoundField):
    """A posting by its UUID."""

    def find(self, text):
        try:
            return Posting.objects.filter(
                uuid=serializers.UUIDField().to_internal_value(text)
            ).first()
        except serializers.ValidationError:
            return None


class PlaceField(FoundField):
    """A bin by code or shop name, or a lot (on the floor, or of a charge) by code."""

    def find(self, text):
        return bin_named(text) or lot_with_code(text)


class FixBody(Body):
    """What one posting should have been; what is left out stays as it was booked."""

    posting = PostingField()
    mass_mg = MassField(
        required=False, allow_null=True, help_text="All of it, for pieces together."
    )
    scale = ScaleField(required=False, allow_null=True)
    source = PlaceField(required=False, allow_null=True)
    target = PlaceField(required=False, allow_null=True)
    is_out = serializers.BooleanField(default=False, help_text="It never happened.")

    def validate(self, attrs):
        if attrs.get("scale") and not attrs.get("mass_mg"):
            raise serializers.ValidationError({"mass_mg": [_("Say what the scale showed.")]})
        return attrs


def fixes_of(sent: dict) -> list[Fix]:
    """Return the fixes of a valid body."""
    return [
        Fix(
            each["posting"],
            mass=Mass.weighed(each["mass_mg"], each.get("scale")) if each.get("mass_mg") else None,
            source=each.get("source"),
            target=each.get("target"),
            is_out=each["is_out"],
        )
        for each in sent["fixes"]
    ]


class FixesBody(Body):
    """The postings to correct together."""

    fixes = FixBody(many=True, min_length=1, max_length=MOST_FIXES)


class HeldSerializer(serializers.Serializer):
    """What is held somewhere, and would be."""

    where = serializers.CharField(source="label")
    lot = serializers.CharField(source="lot.code", allow_null=True)
    before_mg = serializers.IntegerField()
    after_mg = serializers.IntegerField()


class GapSerializer(serializers.Serializer):
    """A closed charge whose gap would be another; a loss must be named."""

    run = serializers.CharField(source="charge.run.number")
    charge = serializers.IntegerField(source="charge.number")
    before_mg = serializers.IntegerField(source="gap.before_mg")
    after_mg = serializers.IntegerField(source="gap.after_mg")
    explained_mg = serializers.IntegerField(source="gap.allowed_mg")
    is_loss = serializers.BooleanField(source="gap.is_loss")


class PartChangeSerializer(serializers.Serializer):
    """A part that would be made of something else; shares from 0 to 1, rounded down."""

    part = serializers.CharField(source="part.code")
    recycled_before = serializers.FloatField(source="before.recycled")
    recycled_after = serializers.FloatField(source="after.recycled")
    mark_before = serializers.CharField(source="before.mark")
    mark_after = serializers.CharField(source="after.mark")
    has_passport = serializers.BooleanField()


class EffectSerializer(serializers.Serializer):
    """All that would change, and the token that accepts it."""

    shown = serializers.CharField(source="token")
    postings = serializers.SerializerMethodField()
    held = HeldSerializer(many=True)
    charges = GapSerializer(many=True)
    part_count = serializers.SerializerMethodField()
    claim_count = serializers.IntegerField()
    passport_count = serializers.IntegerField()
    parts = serializers.SerializerMethodField(help_text="The first hundred.")

    def get_postings(self, effect) -> list[str]:
        return [str(step.posting.uuid) for step in effect.steps]

    def get_part_count(self, effect) -> int:
        return len(effect.parts)

    def get_parts(self, effect) -> list[dict]:
        return PartChangeSerializer(effect.parts[:PARTS_SHOWN], many=True).data


class EffectOfCorrection(ApiView):
    """What a correction would change; nothing is written."""

    queryset = Posting.objects.none()
    body_class = FixesBody
    answer_class = EffectSerializer
    answer_status = 200

    def post(self, request, *args, **kwargs):
        """Return the effect, or refuse what the correction would be refused."""
        body = self.body_class(data=request.data)
        body.is_valid(raise_exception=True)
        effect = effect_of(draft_correction(fixes=fixes_of(body.validated_data)))
        return Response(self.answer_class(effect).data)


class CorrectionBody(ActBody, FixesBody):
    """A correction whose effect was looked at."""

    reason = TextField(max_length=200)
    shown = TextField(max_length=64, help_text="The token of the effect that was looked at.")
    loss = TextField(max_length=90, allow_blank=True, default="")


class CorrectionSerializer(serializers.Serializer):
    """Every posting that a correction wrote; the first is the one that carries its UUID."""

    postings = PostingSerializer(many=True)


class Corrections(ActView):
    """Mend past postings, through lots that have already given."""

    act = "posting.correct"
    queryset = Posting.objects.none()
    body_class = CorrectionBody
    answer_class = CorrectionSerializer

    def perform(self, sent, act):
        head = correct_postings(
            fixes=fixes_of(sent), act=act, shown=sent["shown"], loss=sent["loss"]
        )
        keys = [posting.pk for posting in postings_of_correction(head)]
        rows = posting_rows().filter(pk__in=keys).order_by("pk")
        return {"postings": sorted(rows, key=lambda posting: posting.pk != head.pk)}
