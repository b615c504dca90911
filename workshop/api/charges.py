"""What is loaded into a run, and what is carried into its next charge."""

from django.utils.translation import gettext as _
from rest_framework import serializers

from inventory.actions.refusals import refusal
from inventory.api.acts import ActBody, WeighedBody, fill_meant, weighed
from inventory.api.fields import BinField, ConfirmedField, LotField, MassField, WholeField
from inventory.api.postings import PostingSerializer, posting_of
from inventory.models import Mass
from products.api.parts import ClaimSerializer, PartField
from workshop.actions.charges import Portion, carry_over, load_run
from workshop.api.runs import RunActView
from workshop.models import Load
from workshop.queries.planned_sheets import taken_from

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
    """One loading and its posting; `taken_from` are open runs that were to cut what was loaded."""

    run = serializers.CharField(source="charge.run.code")
    taken_from = ClaimSerializer(many=True)
    posting = PostingSerializer(source="shown_posting")


class LoadBody(WeighedBody):
    """A load: a lot, what a bin holds, or a part or some of its pieces."""

    lot = LotField(required=False, allow_null=True)
    bin = BinField(required=False, allow_null=True)
    part = PartField(required=False, allow_null=True)
    pieces = WholeField(min_value=1, max_value=MOST_PIECES, required=False, allow_null=True)
    tare_mg = MassField(min_value=0, required=False, allow_null=True)
    left_mg = MassField(
        required=False,
        allow_null=True,
        help_text="In place of mass_mg: what the scale shows of the lot afterwards, less tare_mg. "
        "The rest of the book was drawn. Without tare_mg the tare of its bin is taken off.",
    )
    charge = ChargeNumberField(required=False, allow_null=True)
    confirmed = ConfirmedField()

    def validate(self, attrs):
        if sum(attrs.get(name) is not None for name in ("lot", "bin", "part")) != 1:
            raise serializers.ValidationError({"lot": [_("Name a lot, a bin or a part.")]})
        if attrs.get("left_mg") is None:
            return super().validate(attrs)
        if attrs.get("mass_mg") is not None or attrs.get("part"):
            sentence = _("Send what was taken or what is left, and what is left only of a lot.")
            raise serializers.ValidationError({"left_mg": [sentence]})
        return attrs


def loaded_lot(sent: dict):
    """Return the lot that a valid body loads."""
    if sent.get("part"):
        return sent["part"].lot
    return sent.get("lot") or fill_meant(sent["bin"], sent["uuid"], "lot")


def portion_of(sent: dict) -> Portion:
    """Return what a valid body loads; refuses `tare` when the scale shows less than the empty bin."""
    lot = loaded_lot(sent)
    if sent.get("left_mg") is None:
        return Portion(lot, weighed(sent), sent.get("pieces"))
    tare_mg = sent.get("tare_mg")
    if tare_mg is None:
        tare_mg = lot.bin.tare_mg if lot.bin else 0
    if tare_mg > sent["left_mg"]:
        raise refusal("tare", _("The scale shows less than the empty bin; check the tare."))
    readings = 2 if tare_mg else 1
    left = Mass.weighed(sent["left_mg"] - tare_mg, sent.get("scale"), readings=readings)
    return Portion(lot, remaining=left)


def told(load: Load, act) -> Load:
    """Return a load with the posting that its answer shows, and whose sheets it took."""
    load.shown_posting, load.taken_from = posting_of(act.key), taken_from(load)
    return load


class Loads(RunActView):
    """Load a run from a bin, a lot on the floor, or a part."""

    act = "run.load"
    body_class = LoadBody
    answer_class = LoadAnswer

    def perform(self, sent, act):
        run = self.run()
        load = load_run(
            run=run,
            portion=portion_of(sent),
            charge_number=sent.get("charge"),
            is_confirmed=sent["confirmed"],
            act=act,
        )
        return told(load, act)


class Carry(RunActView):
    """Carry what is left of the newest charge into the next one."""

    act = "run.load"
    body_class = ActBody
    answer_class = LoadAnswer

    def perform(self, sent, act):
        return told(carry_over(run=self.run(), act=act), act)
