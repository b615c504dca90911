"""The route of a design: which it is, and setting it."""

from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, change_of
from inventory.api.fields import TextField
from inventory.api.names import found
from inventory.api.reads import OneView
from products.actions.routes import LONGEST_NOTE, MOST_STEPS, set_route
from products.models import Design, Work


class RouteLineSerializer(serializers.Serializer):
    """What is done, with a note."""

    work = serializers.CharField()
    note = serializers.CharField()


class RouteSerializer(serializers.Serializer):
    """What is done until a design is made, in order."""

    design = serializers.CharField(source="name")
    route = RouteLineSerializer(many=True)


class RouteAnswer(serializers.Serializer):
    """The route as it was set."""

    design = serializers.CharField()
    route = RouteLineSerializer(many=True)
    change = ChangeSerializer()


class RouteLineBody(Body):
    """One line."""

    work = serializers.ChoiceField(choices=Work.choices)
    note = TextField(max_length=LONGEST_NOTE, allow_blank=True, default="")


class RouteBody(ActBody):
    """The whole route, in place of what it was."""

    route = RouteLineBody(many=True, max_length=MOST_STEPS)


class Route(ActView, OneView):
    """The route of the design in the address; POST sets it."""

    act = "design.edit"
    queryset = Design.objects.all()
    lookup_field = "id"
    serializer_class = RouteSerializer
    body_class = RouteBody
    answer_class = RouteAnswer

    def get_object(self):
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())

    def perform(self, sent, act):
        pairs = [(line["work"], line["note"]) for line in sent["route"]]
        design = set_route(design=self.get_object(), route=pairs, act=act)
        return {"design": design.name, "route": sent["route"], "change": change_of(act)}
