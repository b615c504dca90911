"""A bag of the same things gives some of its pieces."""

from drf_spectacular.utils import extend_schema_serializer
from rest_framework import serializers

from inventory.api.acts import ActBody
from inventory.api.fields import ConfirmedField, WholeField
from inventory.api.postings import PostingSerializer, posting_of
from products.actions.bags import divide_bag
from products.api.fixings import MOST_PIECES, example
from products.api.parts import ClaimSerializer, PartActView
from products.queries.spoken_sheets import taken_from


class DivideAnswer(serializers.Serializer):
    """The part that the pieces are now, and the open runs that were to cut them."""

    part = serializers.CharField(source="code")
    bag = serializers.CharField(source="bag.code")
    pieces = serializers.IntegerField()
    taken_from = ClaimSerializer(many=True)
    posting = PostingSerializer(source="shown_posting")


@extend_schema_serializer(examples=example("Two clips", pieces=2))
class DivideBody(ActBody):
    """How many pieces are taken out."""

    pieces = WholeField(min_value=1, max_value=MOST_PIECES)
    confirmed = ConfirmedField()


class Divide(PartActView):
    """Give some pieces of the bag in the address a code of their own; the rest stays in the bag."""

    act = "part.divide"
    body_class = DivideBody
    answer_class = DivideAnswer

    def perform(self, sent, act):
        how = {"pieces": sent["pieces"], "is_confirmed": sent["confirmed"]}
        bag = self.part()
        part = divide_bag(bag=bag, act=act, **how)
        part.shown_posting = posting_of(act.key)
        part.taken_from = taken_from(bag, part, part.shown_posting.recorded_at)
        return part
