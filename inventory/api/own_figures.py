"""The workshop's own figures of a polymer: setting one, and going back to the reference."""

from rest_framework import serializers

from inventory.actions.own_figures import return_to_reference, set_own_figure
from inventory.api.acts import ActBody, ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import TextField
from inventory.api.names import found
from inventory.calculations.own_figures import RULES
from inventory.models import Polymer

ENDS = ("low", "typical", "high")


class OwnFigureSerializer(serializers.Serializer):
    """A figure as the lead set it; without any value it is the reference's again."""

    name = serializers.CharField()
    low = serializers.FloatField(allow_null=True)
    typical = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    is_back = serializers.BooleanField()
    note = serializers.CharField()
    happened_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")


class OwnFigureAnswer(OwnFigureSerializer):
    """A figure as it was set, and the act that set it."""

    polymer = serializers.CharField(source="polymer.symbol")
    change = ChangeSerializer()


class EndField(serializers.DecimalField):
    """One value of a figure, in its unit."""

    def __init__(self, **options):
        fixed = {"max_digits": 9, "decimal_places": 4, "required": False, "allow_null": True}
        super().__init__(**fixed | options)


class OwnFigureBody(ActBody):
    """A figure: a window by low and high, the fume ceiling by typical, any other by typical and its ends."""

    name = serializers.ChoiceField(choices=list(RULES))
    low = EndField()
    typical = EndField()
    high = EndField()
    reason = TextField(max_length=300, help_text="Where the value comes from, and why it holds.")


class FigureView(ActView):
    """An act on a figure of the polymer in the address."""

    act = "figure.own"
    answer_class = OwnFigureAnswer

    def polymer(self) -> Polymer:
        return found(Polymer.objects.filter(symbol=self.kwargs["symbol"]).first())


class OwnFigures(FigureView):
    """Put the workshop's own figure in the place of the reference's."""

    body_class = OwnFigureBody

    def perform(self, sent, act):
        ends = {end: sent.get(end) for end in ENDS}
        row = set_own_figure(polymer=self.polymer(), name=sent["name"], ends=ends, act=act)
        row.change = change_of(act)
        return row


class Back(FigureView):
    """Let the figure of the reference hold again."""

    body_class = ReasonBody

    def perform(self, sent, act):
        row = return_to_reference(polymer=self.polymer(), name=self.kwargs["slug"], act=act)
        row.change = change_of(act)
        return row
