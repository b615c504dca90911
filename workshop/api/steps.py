"""Steps of a run: started, stopped, listed."""

from rest_framework import serializers

from inventory.api.acts import ActBody
from workshop.actions.steps import start_step, stop_step
from workshop.api.moments import MomentAnswer, MomentSerializer, MomentsView, told
from workshop.api.runs import RunActView
from workshop.models import Step


class StepSerializer(MomentSerializer):
    """The start of a step; without a name the stop of the one before."""

    name = serializers.CharField()


class StepAnswer(StepSerializer, MomentAnswer):
    """A step that was started or stopped."""


class StepBody(ActBody):
    """Which step starts."""

    name = serializers.ChoiceField(choices=Step.Name.choices)


class Steps(MomentsView):
    """Every start of a step; POST starts one and ends the one that runs."""

    serializer_class = StepSerializer
    body_class = StepBody
    answer_class = StepAnswer

    def rows(self, run):
        return run.steps.select_related("by").in_order()

    def perform(self, sent, act):
        return told(start_step(run=self.run(), name=sent["name"], act=act), act)


class StopStep(RunActView):
    """Stop the step that runs, with none after it."""

    act = "run.make"
    body_class = ActBody
    answer_class = StepAnswer

    def perform(self, sent, act):
        return told(stop_step(run=self.run(), act=act), act)
