"""What is weighed out of a run."""

from django.utils.translation import gettext as _
from rest_framework import serializers

from inventory.api.acts import ReasonBody
from inventory.api.fields import (
    MOST_MG,
    BinField,
    ConfirmedField,
    MassField,
    ScaleField,
    WholeField,
)
from inventory.api.postings import PostingSerializer, posting_of
from inventory.models import Mass
from products.api.designs import DesignField
from products.api.sides import SideBodyField, size_sent
from products.models import Part
from workshop.actions.yields import Outcome, yield_from_run
from workshop.api.charges import MOST_PIECES, ChargeNumberField
from workshop.api.runs import RunActView
from workshop.models import Yield


class YieldSerializer(serializers.Serializer):
    """One thing weighed out of a charge; bin null: made into parts, or disposed of."""

    charge = serializers.IntegerField(source="charge.number")
    kind = serializers.CharField()
    mass_mg = serializers.IntegerField()
    pieces = serializers.IntegerField()
    bin = serializers.CharField(source="bin.code", allow_null=True)


class YieldAnswer(YieldSerializer):
    """One thing weighed out, the codes of the parts it made, and its posting."""

    run = serializers.CharField(source="charge.run.code")
    parts = serializers.ListField(child=serializers.CharField())
    posting = PostingSerializer(source="shown_posting")


class YieldBody(ReasonBody):
    """A yield: its mass in total, or the mass of each of so many pieces; a kept piece has a size in mm."""

    kind = serializers.ChoiceField(choices=Yield.Kind.choices)
    mass_mg = MassField(required=False, allow_null=True)
    mass_each_mg = MassField(required=False, allow_null=True)
    pieces = WholeField(min_value=0, max_value=MOST_PIECES, default=0)
    bin = BinField(required=False, allow_null=True)
    scale = ScaleField(required=False, allow_null=True)
    charge = ChargeNumberField(required=False, allow_null=True)
    length_mm = SideBodyField()
    width_mm = SideBodyField()
    sheet = DesignField(allow_null=True, default=None)
    confirmed = ConfirmedField()

    def validate(self, attrs):
        total_mg, each_mg = attrs.get("mass_mg"), attrs.get("mass_each_mg")
        if (total_mg is None) == (each_mg is None):
            raise serializers.ValidationError(
                {"mass_mg": [_("Send the mass in total, or of each piece.")]}
            )
        if each_mg and not 0 < each_mg * attrs["pieces"] <= MOST_MG:
            raise serializers.ValidationError({"pieces": [_("Say how many pieces there are.")]})
        return attrs | {"size": size_sent(attrs)}


def outcome_mass(sent: dict) -> Mass:
    """Return the mass of a valid body with its basis."""
    each_mg, scale = sent.get("mass_each_mg"), sent.get("scale")
    if each_mg is None:
        return Mass.weighed(sent["mass_mg"], scale)
    return Mass.weighed(each_mg * sent["pieces"], scale, count=sent["pieces"])


class Yields(RunActView):
    """Weigh out one thing that a charge became; from then on the charge is sealed."""

    act = "run.yield"
    body_class = YieldBody
    answer_class = YieldAnswer

    def perform(self, sent, act):
        what = (sent["kind"], outcome_mass(sent), sent["pieces"], sent.get("bin"))
        is_kept = sent["kind"] == Yield.Kind.KEPT
        of_piece = {"size": sent["size"], "sheet": sent["sheet"]} if is_kept else {}
        outcome = Outcome(*what, **of_piece)
        made = yield_from_run(
            run=self.run(),
            outcome=outcome,
            charge_number=sent.get("charge"),
            is_confirmed=sent["confirmed"],
            act=act,
        )
        parts = Part.objects.filter(made_in=made.posting_id, bag=None).order_by("pk")
        made.parts = list(parts.values_list("code", flat=True))
        made.shown_posting = posting_of(act.key)
        return made
