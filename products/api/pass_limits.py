"""The limit of melt passes of a design: which it is, and setting it."""

from django.utils.translation import gettext as _
from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import WholeField
from inventory.api.names import found
from inventory.api.reads import OneView
from products.actions.pass_limits import set_pass_limit
from products.calculations.pass_limits import MOST_PERCENT, MOST_TIMES, PassLimit
from products.models import Design


class PassLimitSerializer(serializers.Serializer):
    """At most so many per cent of a charge, by mass, melted so many times or more before; null: no limit."""

    design = serializers.CharField(source="name")
    times = serializers.IntegerField(source="passes_from", allow_null=True)
    most_percent = serializers.IntegerField(source="passes_most_percent", allow_null=True)


class PassLimitAnswer(PassLimitSerializer):
    """The limit as it was set."""

    change = ChangeSerializer()


class PassLimitBody(ActBody):
    """A limit; both null is none."""

    times = WholeField(min_value=1, max_value=MOST_TIMES, allow_null=True)
    most_percent = WholeField(min_value=0, max_value=MOST_PERCENT, allow_null=True)

    def validate(self, attrs):
        if (attrs["times"] is None) != (attrs["most_percent"] is None):
            raise serializers.ValidationError({"times": [_("Send both, or null for both.")]})
        return super().validate(attrs)


class DesignPassLimit(ActView, OneView):
    """The limit of melt passes of the design in the address; POST sets it or takes it away."""

    act = "design.edit"
    queryset = Design.objects.all()
    lookup_field = "id"
    serializer_class = PassLimitSerializer
    body_class = PassLimitBody
    answer_class = PassLimitAnswer

    def get_object(self):
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())

    def perform(self, sent, act):
        times, most_percent = sent["times"], sent["most_percent"]
        limit = None if times is None else PassLimit(times, most_percent)
        design = set_pass_limit(design=self.get_object(), limit=limit, act=act)
        design.change = change_of(act)
        design.passes_from, design.passes_most_percent = times, most_percent
        return design
