"""Postings with their transfers, and their reversal."""

from django.db.models import Prefetch
from django_filters.rest_framework import ChoiceFilter, FilterSet
from rest_framework import serializers

from inventory.actions.postings import reverse_posting
from inventory.api.acts import ActView, ReasonBody
from inventory.api.filters import MomentFilter, WordFilter, YesNoFilter
from inventory.api.names import found
from inventory.api.reads import ListView, OneView
from inventory.models import Posting, Transfer


class TransferSerializer(serializers.Serializer):
    """Mass from a lot to a lot; null is the outside."""

    source = serializers.CharField(source="source.code", allow_null=True)
    target = serializers.CharField(source="target.code", allow_null=True)
    mass_mg = serializers.IntegerField()
    role = serializers.CharField()
    melted = serializers.BooleanField()
    basis = serializers.CharField()
    scale = serializers.CharField(source="scale.name", allow_null=True)


class PostingSerializer(serializers.Serializer):
    """One thing that happened, as it was written."""

    uuid = serializers.UUIDField()
    number = serializers.CharField()
    kind = serializers.CharField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    reference = serializers.CharField()
    reason = serializers.CharField()
    reverses = serializers.UUIDField(source="reverses.uuid", allow_null=True)
    replaces = serializers.UUIDField(source="replaces.uuid", allow_null=True)
    transfers = TransferSerializer(many=True, source="known_transfers")


class StandingPostingSerializer(PostingSerializer):
    """A posting with what became of it since."""

    reversed_by = serializers.UUIDField(source="reversed_by.uuid", allow_null=True)


def posting_rows():
    """Return postings with all that their answer tells, in two queries however many."""
    transfers = Transfer.objects.select_related("source", "target", "scale")
    return Posting.objects.select_related(
        "by", "reverses", "reversed_by", "replaces"
    ).prefetch_related(Prefetch("transfers", queryset=transfers))


def answered(posting: Posting) -> Posting:
    """Return a posting with all that its answer tells: one just written knows it, any other is read."""
    return posting if posting.written_transfers else posting_of(posting.uuid)


def posting_of(key):
    """Return the posting of a client id with all that its answer tells, or None."""
    return posting_rows().filter(uuid=key).first()


class PostingFilters(FilterSet):
    """Narrows postings."""

    kind = ChoiceFilter(choices=Posting.Kind)
    by = WordFilter("by__username")
    reference = WordFilter("reference")
    happened_from = MomentFilter(field_name="happened_at", lookup_expr="gte")
    happened_until = MomentFilter(field_name="happened_at", lookup_expr="lte")
    reversed = YesNoFilter(field_name="reversed_by", method="by_reversal")

    def by_reversal(self, rows, name, is_reversed):
        return rows.filter(reversed_by__isnull=not is_reversed)


class Postings(ListView):
    """The book, newest first."""

    queryset = posting_rows()
    serializer_class = StandingPostingSerializer
    filterset_class = PostingFilters
    search_fields = ("reference", "reason")
    ordering_fields = ("happened_at", "recorded_at")


class OnePosting(OneView):
    """One posting by its UUID."""

    queryset = posting_rows()
    serializer_class = StandingPostingSerializer
    lookup_field = "uuid"

    def get_object(self):
        return found(self.get_queryset().filter(uuid=self.kwargs["uuid"]).first())


class Reversal(ActView):
    """Undo a posting by appending its mirror image."""

    act = "posting.reverse"
    queryset = Posting.objects.all()
    body_class = ReasonBody
    answer_class = PostingSerializer

    def perform(self, sent, act):
        posting = found(self.get_queryset().filter(uuid=self.kwargs["uuid"]).first())
        return answered(reverse_posting(posting=posting, act=act))
