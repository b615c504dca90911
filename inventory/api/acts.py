"""Writing: one class for each act, which reads the body, calls the action and answers with facts.

An answer consists only of what never changes, so that a repeat is answered as the first time.
"""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from rest_framework import serializers, status
from rest_framework.response import Response

from inventory.actions.acts import Act
from inventory.actions.refusals import refusal
from inventory.api.access import ApiView
from inventory.api.fields import (
    BinField,
    LotField,
    MassField,
    MomentField,
    ScaleField,
    TextField,
    UuidField,
)
from inventory.models import Change, Lot, Mass, Posting
from inventory.queries.lots import open_lot_in

UNKNOWN_FIELD = gettext_lazy("There is no such field here.")
MOST_NAMED = 20


class Body(serializers.Serializer):
    """What a client sends; a field that does not exist is refused, for it may be a misspelt one."""

    def to_internal_value(self, data):
        unknown = data.keys() - self.fields.keys() if isinstance(data, dict) else ()
        if unknown:
            some = sorted(unknown)[:MOST_NAMED]
            raise serializers.ValidationError({name: [UNKNOWN_FIELD] for name in some})
        return super().to_internal_value(data)


class ActBody(Body):
    """The envelope of every act."""

    uuid = UuidField(help_text="Made by the client before it sends; a repeat changes nothing.")
    happened_at = MomentField(
        required=False, allow_null=True, help_text="When in the workshop; left out: just now."
    )

    def act(self, by) -> Act:
        """Return the act that the valid body describes."""
        sent = self.validated_data
        return Act(
            key=sent["uuid"],
            by=by,
            happened_at=sent.get("happened_at"),
            reason=sent.get("reason", ""),
        )


class ReasonBody(ActBody):
    """An act that may need a reason."""

    reason = TextField(required=False, allow_blank=True, max_length=300)


class WeighedBody(ActBody):
    """An act with a mass: read from a scale, typed, or with none all there is."""

    mass_mg = MassField(required=False, allow_null=True, help_text="Null or left out: all of it.")
    tare_mg = MassField(required=False, allow_null=True, help_text="To be taken off the mass.")
    scale = ScaleField(required=False, allow_null=True)

    def validate(self, attrs):
        gross_mg, tare_mg = attrs.get("mass_mg"), attrs.get("tare_mg")
        if gross_mg is None and (tare_mg or attrs.get("scale")):
            raise serializers.ValidationError({"mass_mg": [_("Say what the scale showed.")]})
        if tare_mg and tare_mg >= gross_mg:
            raise serializers.ValidationError({"tare_mg": [_("The tare is not below the mass.")]})
        return attrs


def weighed(sent: dict) -> Mass | None:
    """Return the mass of a valid body with its basis, or None for all there is."""
    if sent.get("mass_mg") is None:
        return None
    tare_mg = sent.get("tare_mg") or 0
    readings = 2 if tare_mg else 1
    return Mass.weighed(sent["mass_mg"] - tare_mg, sent.get("scale"), readings=readings)


class FromBody(Body):
    """The lot an act takes from: by its own code, or as what a bin holds now."""

    lot = LotField(required=False, allow_null=True)
    from_bin = BinField(required=False, allow_null=True)

    def validate(self, attrs):
        named = [name for name in ("lot", "from_bin") if attrs.get(name)]
        if len(named) != 1:
            raise serializers.ValidationError({"lot": [_("Name a lot or a bin to take from.")]})
        return super().validate(attrs)


def lot_meant(sent: dict, lot_field: str) -> Lot:
    """Return the lot a valid body names, itself or by the bin it stands in.

    A repeat means the lot that the bin held the first time. Refuses `empty`.
    """
    if sent.get("lot"):
        return sent["lot"]
    return fill_meant(sent["from_bin"], sent["uuid"], lot_field)


def fill_meant(bin, key, lot_field: str) -> Lot:
    """Return what a bin holds, or for a repeated UUID what it held when that first came."""
    fill = open_lot_in(bin)
    done = Posting.objects.filter(uuid=key).first()
    if done:
        code = str(done.request.get("portion", done.request).get(lot_field))
        fill = Lot.objects.filter(code=code, bin=bin).first()
    if fill is None:
        code = "key-reused" if done else "empty"
        raise refusal(code, _("Bin %(bin)s holds nothing to take."), bin=bin.name)
    return fill


class ChangeSerializer(serializers.Serializer):
    """An act that moved no mass, as it stands in the book."""

    uuid = serializers.UUIDField()
    verb = serializers.CharField()
    subject = serializers.CharField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    role = serializers.CharField()
    reason = serializers.CharField()


def change_of(act: Act) -> Change:
    """Return what was written down for an act that moved no mass."""
    return Change.objects.select_related("by").get(uuid=act.key)


class ActView(ApiView):
    """One act, done by POST; the action decides."""

    body_class: type[ActBody]
    answer_class: type[serializers.Serializer]

    def post(self, request, *args, **kwargs):
        body = self.body_class(data=request.data)
        body.is_valid(raise_exception=True)
        made = self.perform(body.validated_data, body.act(request.user))
        return Response(self.answer_class(made).data, status=status.HTTP_201_CREATED)

    def perform(self, sent: dict, act: Act):
        """Call the action and return what the answer tells of it."""
        raise NotImplementedError
