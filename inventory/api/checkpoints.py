"""Checkpoints of the book, and proofs to be checked without it (RFC 9162)."""

from django.utils.translation import gettext_lazy as _
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.response import Response

from inventory.actions.checkpoints import make_checkpoint
from inventory.api.access import ApiView
from inventory.api.acts import ActView, Body
from inventory.api.fields import UuidField
from inventory.api.names import found
from inventory.api.reads import ListView
from inventory.models import Checkpoint
from inventory.queries.checkpoints import checkpoint_list, consistency_of, inclusion_of


class CheckpointSerializer(serializers.Serializer):
    """How many entries the book had, and the root over them."""

    id = serializers.IntegerField()
    number = serializers.CharField()
    size = serializers.IntegerField()
    root = serializers.CharField()
    made_at = serializers.DateTimeField()
    made_by = serializers.CharField(source="made_by.username", allow_null=True, default=None)


class InclusionSerializer(serializers.Serializer):
    """The path from an entry to the root of a checkpoint, nearest sibling first."""

    checkpoint = CheckpointSerializer()
    leaf = serializers.IntegerField(source="leaf.number")
    leaf_hash = serializers.CharField(source="leaf.hash")
    path = serializers.ListField(child=serializers.CharField())


class ConsistencySerializer(serializers.Serializer):
    """The path that shows an older checkpoint to be the beginning of a newer one."""

    older = CheckpointSerializer()
    checkpoint = CheckpointSerializer()
    path = serializers.ListField(child=serializers.CharField())


class CheckpointBody(Body):
    """Nothing but the client's id: a checkpoint holds what the book holds at that moment."""

    uuid = UuidField(help_text="Made by the client before it sends; a repeat changes nothing.")

    def act(self, by):
        """Return who asks."""
        return by


class Checkpoints(ActView, ListView):
    """Every checkpoint, newest first; POST makes one."""

    act = "checkpoint.make"
    queryset = checkpoint_list()
    serializer_class = CheckpointSerializer
    search_fields = ("root",)
    ordering_fields = ("size", "made_at")
    body_class = CheckpointBody
    answer_class = CheckpointSerializer

    def perform(self, sent, act):
        return make_checkpoint(key=sent["uuid"], by=act)


class ProofView(ApiView):
    """A proof."""

    queryset = Checkpoint.objects.none()
    filter_backends = []

    def get(self, request, *args, **kwargs):
        proof = self.proof()
        if proof is None:
            raise NotFound(self.missing)
        return Response(self.get_serializer(proof).data)


class Inclusion(ProofView):
    """Prove that a posting or a change, by its UUID, is in the newest checkpoint."""

    serializer_class = InclusionSerializer
    missing = _("This entry is in no checkpoint yet; make one, then ask again.")

    def proof(self):
        return inclusion_of(self.kwargs["uuid"])


class Consistency(ProofView):
    """Prove that the book of an older checkpoint is the beginning of a newer one's."""

    serializer_class = ConsistencySerializer
    missing = _("The first checkpoint is not older than the second; ask the other way round.")

    def proof(self):
        older, newer = (
            found(checkpoint_list().filter(pk=self.kwargs[name]).first())
            for name in ("number", "id")
        )
        return consistency_of(older, newer)
