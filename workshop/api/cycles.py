"""Cycles of a run: counted, taken back, listed."""

from rest_framework import serializers

from inventory.api.acts import ActBody
from inventory.api.fields import UuidField
from workshop.actions.cycles import count_cycle, undo_cycle
from workshop.api.moments import MomentAnswer, MomentSerializer, MomentsView, told
from workshop.api.runs import RunActView


class CycleSerializer(MomentSerializer):
    """One tap, or the undoing of the tap that it names."""

    pieces = serializers.IntegerField()
    undoes = serializers.UUIDField(source="undoes.uuid", allow_null=True)


class CycleAnswer(CycleSerializer, MomentAnswer):
    """A cycle that was counted or taken back."""


class UndoBody(ActBody):
    """Which cycle is taken back."""

    cycle = UuidField(required=False, allow_null=True, help_text="Left out: the last one.")


class Cycles(MomentsView):
    """Every tap of a run, undone ones and undoings too; POST counts one cycle."""

    serializer_class = CycleSerializer
    body_class = ActBody
    answer_class = CycleAnswer

    def rows(self, run):
        return run.cycles.select_related("by", "undoes").in_order()

    def perform(self, sent, act):
        return told(count_cycle(run=self.run(), act=act), act)


class UndoCycle(RunActView):
    """Take a cycle back; both rows stay."""

    act = "run.make"
    body_class = UndoBody
    answer_class = CycleAnswer

    def perform(self, sent, act):
        return told(undo_cycle(run=self.run(), cycle=sent.get("cycle"), act=act), act)
