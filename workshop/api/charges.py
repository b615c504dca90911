"""What is loaded into a run, and what is carried into its next charge."""

from django.utils.translation import gettext as _
from rest_framework import serializers

from inventory.api.acts import ActBody, WeighedBody, fill_meant, weighed
from inventory.api.fields import BinField, LotField, WholeField
from inventory.api.postings import PostingSerializer, posting_of
from products.api.parts import PartField
from workshop.actions.charges import Portion, carry_over, load_run
from workshop.api.runs import RunActView
from workshop.models import Load

MOST_CHARGES = 32_767
MOST_PIECES = 1_000_000


class ChargeNumberField(WholeField):
    """The number of a charge within its run."""

    def __init__(self, **options):
        super().__init__(min_value=1, max_value=MOST_CHARGES, **options)


class LoadSerializer(serializers.Serializer):
    """One loading of a charge."""

    charge = serializers.IntegerField(source="charge.number")
    charge_lot = serializers.CharField(source="charge.lot.code")
    source = serializers.CharField(source="source.code")
    part = serializers.CharField(source="part.code", allow_null=True)
    mass_mg = serializers.IntegerField()
    pieces = serializers.IntegerField()


class LoadAnswer(LoadSerializer):
    """One loading and its posting."""

    run = serializers.CharField(source="charge.run.code")
    posting = PostingSerializer(source="shown_posting")


class LoadBody(WeighedBody):
    """A load: a lot, what a bin holds, or a part or some of its pieces."""

    lot = LotField(required=False, allow_null=True)
    bin = BinField(required=False, allow_null=True)
    part = PartField(required=False, allow_null=True)
    pieces = WholeField(min_value=1, max_value=MOST_PIECES, required=False, allow_null=True)
    charge = ChargeNumberField(required=False, allow_null=True)

    def validate(self, attrs):
        if sum(attrs.get(name) is not None for name in ("lot", "bin", "part")) != 1:
            raise serializers.ValidationError({"lot": [_("Name a lot, a bin or a part.")]})
        return super().validate(attrs)


def loaded_lot(sent: dict):
    """Return the lot that a valid body loads."""
    if sent.get("part"):
        return sent["part"].lot
    return sent.get("lot") or fill_meant(sent["bin"], sent["uuid"], "lot")


def told(load: Load, act) -> Load:
    """Return a load with the posting that its answer shows."""
    load.shown_posting = posting_of(act.key)
    return load


class Loads(RunActView):
    """Load a run from a bin, a lot on the floor, or a part."""

    act = "run.load"
    body_class = LoadBody
    answer_class = LoadAnswer

    def perform(self, sent, act):
        run = self.run()
        portion = Portion(loaded_lot(sent), weighed(sent), sent.get("pieces"))
        load = load_run(run=run, portion=portion, charge_number=sent.get("charge"), act=act)
        return told(load, act)


class Carry(RunActView):
    """Carry what is left of the newest charge into the next one."""

    act = "run.load"
    body_class = ActBody
    answer_class = LoadAnswer

    def perform(self, sent, act):
        return told(carry_over(run=self.run(), act=act), act)
