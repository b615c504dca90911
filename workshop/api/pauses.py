"""Pauses of a run: begun, ended, listed."""

from rest_framework import serializers

from inventory.api.acts import ActBody
from inventory.api.fields import TextField
from workshop.actions.pauses import pause_run, resume_run
from workshop.api.moments import MomentAnswer, MomentSerializer, MomentsView, told
from workshop.api.runs import RunActView
from workshop.models import Pause


class PauseSerializer(MomentSerializer):
    """The beginning of a pause with its reason, or the end of the pause that it names."""

    why = serializers.CharField(source="reason")
    note = serializers.CharField()
    ends = serializers.UUIDField(source="ends.uuid", allow_null=True)


class PauseAnswer(PauseSerializer, MomentAnswer):
    """A pause that was begun or ended."""


class PauseBody(ActBody):
    """Why a run pauses; something else is said in the note."""

    why = serializers.ChoiceField(choices=Pause.Reason.choices)
    note = TextField(max_length=300, allow_blank=True, default="")


class Pauses(MomentsView):
    """Every beginning and end of a pause; POST begins one."""

    serializer_class = PauseSerializer
    body_class = PauseBody
    answer_class = PauseAnswer

    def rows(self, run):
        return run.pauses.select_related("by", "ends").in_order()

    def perform(self, sent, act):
        row = pause_run(run=self.run(), reason=sent["why"], note=sent["note"], act=act)
        return told(row, act)


class Resume(RunActView):
    """End the pause of a run."""

    act = "run.make"
    body_class = ActBody
    answer_class = PauseAnswer

    def perform(self, sent, act):
        return told(resume_run(run=self.run(), act=act), act)
