"""A bag of the same things gives some of its pieces."""

from drf_spectacular.utils import extend_schema_serializer
from rest_framework import serializers

from inventory.api.acts import ActBody
from inventory.api.fields import WholeField
from inventory.api.postings import PostingSerializer, posting_of
from products.actions.bags import divide_bag
from products.api.fixings import MOST_PIECES, example
from products.api.parts import PartActView


class DivideAnswer(serializers.Serializer):
    """The part that the pieces are now."""

    part = serializers.CharField(source="code")
    bag = serializers.CharField(source="bag.code")
    pieces = serializers.IntegerField()
    posting = PostingSerializer(source="shown_posting")


@extend_schema_serializer(examples=example("Two clips", pieces=2))
class DivideBody(ActBody):
    """How many pieces are taken out."""

    pieces = WholeField(min_value=1, max_value=MOST_PIECES)


class Divide(PartActView):
    """Give some pieces of the bag in the address a code of their own; the rest stays in the bag."""

    act = "part.divide"
    body_class = DivideBody
    answer_class = DivideAnswer

    def perform(self, sent, act):
        part = divide_bag(bag=self.part(), pieces=sent["pieces"], act=act)
        part.shown_posting = posting_of(act.key)
        return part
