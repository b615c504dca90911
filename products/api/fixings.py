"""Parts put together: what a part holds, what it lacks and held; putting in and taking out."""

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from inventory.api.acts import ActBody, ChangeSerializer, change_of
from inventory.api.fields import ConfirmedField, TextField, WholeField
from inventory.api.reads import OneView
from inventory.models import Posting
from products.actions.assemblies import MOST_ITEMS
from products.actions.bags import part_given_by
from products.actions.fixings import PIECES_OUT, put_in, swap_part, take_out
from products.api.parts import ClaimSerializer, PartActView, PartField
from products.queries.fixings import holding_of, past_fixings
from products.queries.parts import part_list
from products.queries.spoken_sheets import taken_from

MOST_PIECES = 10**9
UUID = "0b1c2d3e-4f50-4617-8293-a4b5c6d7e8f9"


def example(name: str, **sent) -> list[OpenApiExample]:
    """Return what a client may send, for the schema."""
    return [OpenApiExample(name, value={"uuid": UUID} | sent, request_only=True)]


def pieces_field(help_text: str) -> WholeField:
    """Return a field for some pieces, which may be left out."""
    options = {"required": False, "allow_null": True, "default": None}
    return WholeField(min_value=1, max_value=MOST_PIECES, help_text=help_text, **options)


class HeldPartSerializer(serializers.Serializer):
    """A part that is in another now."""

    part = serializers.CharField(source="part.code")
    design = serializers.CharField(source="part.design.name")
    line = serializers.IntegerField()
    pieces = serializers.IntegerField(source="part.pieces_left")
    mark = serializers.CharField(source="part.lot.mark")
    put_in_at = serializers.DateTimeField()


class MissingSerializer(serializers.Serializer):
    """So many pieces of a design that are missing at a line of the parts list."""

    line = serializers.IntegerField(source="item.line")
    design = serializers.CharField(source="item.name")
    pieces = serializers.IntegerField(source="missing")


class PastSerializer(serializers.Serializer):
    """A part that was put in, and when it was taken out with what was wrong."""

    part = serializers.CharField(source="part.code")
    design = serializers.CharField(source="part.design.name")
    line = serializers.IntegerField()
    put_in_at = serializers.DateTimeField()
    put_in_by = serializers.CharField(source="put_in_by.username")
    taken_out_at = serializers.DateTimeField(allow_null=True)
    taken_out_by = serializers.CharField(source="taken_out_by.username", allow_null=True)
    state_when_taken_out = serializers.CharField()
    is_undone = serializers.SerializerMethodField(
        help_text="Its making was reversed since, so it was no part."
    )

    def get_is_undone(self, fixing) -> bool:
        return not fixing.part.lot.in_mg


class FixingsSerializer(serializers.Serializer):
    """What a part holds and lacks now, all it ever held (the newest first), and in what it is itself."""

    part = serializers.CharField(source="code")
    held_in = serializers.CharField(allow_null=True)
    holds = HeldPartSerializer(many=True, source="holding.fixings")
    missing = MissingSerializer(many=True, source="holding.lacking")
    history = PastSerializer(many=True, source="past")


class Fixings(OneView):
    """What the part in the address holds, what it lacks against its parts list, and what it held."""

    queryset = part_list()
    serializer_class = FixingsSerializer

    def get_object(self):
        part = super().get_object()
        part.holding, part.past = holding_of(part), past_fixings(part)
        return part


class PutInAnswer(serializers.Serializer):
    """A part that went into another, and the open runs that were to cut it."""

    holder = serializers.CharField(source="holder.code")
    part = serializers.CharField(source="part.code")
    line = serializers.IntegerField()
    put_in_at = serializers.DateTimeField()
    put_in_by = serializers.CharField(source="put_in_by.username")
    taken_from = ClaimSerializer(many=True)
    change = ChangeSerializer()


class TakeOutAnswer(PutInAnswer):
    """A part that came out of another."""

    taken_from = None
    taken_out_at = serializers.DateTimeField()
    taken_out_by = serializers.CharField(source="taken_out_by.username")
    state_when_taken_out = serializers.CharField()


@extend_schema_serializer(examples=example("A clip", part="7M3K 9QXT 2VHB"))
class PutInBody(ActBody):
    """A part that goes into the one of the address."""

    part = PartField(help_text="What is scanned off its label.")
    line = WholeField(
        min_value=1,
        max_value=MOST_ITEMS,
        required=False,
        allow_null=True,
        default=None,
        help_text="Of the holder's parts list; left out: where it fits and something is missing.",
    )
    pieces = pieces_field("Of a bag, as a part of their own; left out: as many as are missing.")
    confirmed = ConfirmedField()


class PutIn(PartActView):
    """Put a part into the one of the address, at a line of its parts list; no mass moves."""

    act = "part.put-in"
    body_class = PutInBody
    answer_class = PutInAnswer

    def perform(self, sent, act):
        how = {"line": sent["line"], "pieces": sent["pieces"], "is_confirmed": sent["confirmed"]}
        fixing = put_in(holder=self.part(), part=sent["part"], act=act, **how)
        fixing.change = change_of(act)
        fixing.taken_from = taken_from(sent["part"], fixing.part, fixing.change.recorded_at)
        return fixing


@extend_schema_serializer(examples=example("A broken clip", state="the hook broke off"))
class TakeOutBody(ActBody):
    """A part that comes out, and what is wrong with it."""

    state = TextField(max_length=200, allow_blank=True, default="")
    pieces = pieces_field("Of several under one code; left out: all of them.")


class TakeOut(PartActView):
    """Take the part of the address out of the one that it is in; then it is here like any other."""

    act = "part.take-out"
    body_class = TakeOutBody
    answer_class = TakeOutAnswer

    def perform(self, sent, act):
        out = {"state": sent["state"], "pieces": sent["pieces"]}
        fixing = take_out(part=self.part(), act=act, **out)
        fixing.change = change_of(act)
        return fixing


class SwapAnswer(PutInAnswer):
    """The part that went in, and the one that came out."""

    out = serializers.CharField(source="out.code")


@extend_schema_serializer(
    examples=example("A new clip", new="7M3K 9QXT 2VHB", state="the hook broke off")
)
class SwapBody(ActBody):
    """The part that goes in, and what is wrong with the one that comes out."""

    new = PartField(help_text="What is scanned off its label; a bag gives its pieces.")
    state = TextField(max_length=200)
    pieces = pieces_field("Of several under one code; left out: all of them.")
    confirmed = ConfirmedField()


class Swap(PartActView):
    """Take the part of the address out of the one that it is in, and put another in its place."""

    act = "part.swap"
    body_class = SwapBody
    answer_class = SwapAnswer

    def perform(self, sent, act):
        part, new = self.part(), sent["new"]
        how = {"state": sent["state"], "pieces": sent["pieces"], "is_confirmed": sent["confirmed"]}
        fixing = swap_part(part=part, new=new, act=act, **how)
        given = Posting.objects.filter(uuid=act.followed_by(PIECES_OUT).key).first()
        fixing.out, fixing.change = part_given_by(given) if given else part, change_of(act)
        fixing.taken_from = taken_from(new, fixing.part, fixing.change.recorded_at)
        return fixing
