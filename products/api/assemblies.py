"""The parts list of a design: what is in it, its joints, whether it comes apart; and setting it."""

from decimal import Decimal

from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, change_of
from inventory.api.fields import TextField, WholeField
from inventory.api.names import found
from inventory.api.reads import OneView
from products.actions.assemblies import (
    MOST_COUNT,
    MOST_ITEMS,
    MOST_JOINTS,
    MOST_MINUTES,
    ItemPlan,
    JointPlan,
    set_assembly,
)
from products.api.designs import DesignField
from products.models import Bought, Design, JointKind
from products.queries.assemblies import verdict_of
from products.queries.sentences import said


class ItemSerializer(serializers.Serializer):
    """So many of another design, or of a bought thing."""

    count = serializers.IntegerField()
    component = serializers.CharField(allow_null=True)
    bought = serializers.CharField()
    bought_name = serializers.CharField()


class JointSerializer(serializers.Serializer):
    """What holds two lines of the list; 0 is the piece made after the design itself."""

    kind = serializers.CharField()
    first_line = serializers.IntegerField()
    second_line = serializers.IntegerField()
    tool = serializers.CharField()
    minutes = serializers.DecimalField(max_digits=5, decimal_places=1)


class VerdictSerializer(serializers.Serializer):
    """Whether it can be taken apart and recycled in one go: yes, after (taking apart) or no."""

    answer = serializers.CharField()
    reasons = serializers.SerializerMethodField()
    minutes = serializers.DecimalField(max_digits=None, decimal_places=1)

    def get_reasons(self, verdict) -> list[str]:
        return [said(reason) for reason in verdict.reasons]


class AssemblySerializer(serializers.Serializer):
    """The parts list of a design with its joints, in the order of taking apart."""

    design = serializers.CharField(source="name")
    items = ItemSerializer(many=True, source="items.all")
    joints = JointSerializer(many=True, source="joints.all")
    apart = serializers.SerializerMethodField()

    def get_apart(self, design) -> dict:
        return VerdictSerializer(verdict_of(design)).data


class AssemblyAnswer(serializers.Serializer):
    """The parts list as it was set."""

    design = serializers.CharField()
    items = ItemSerializer(many=True)
    joints = JointSerializer(many=True)
    change = ChangeSerializer()


class ItemBody(Body):
    """One line: a design by its name, or what was bought with its kind and name."""

    count = WholeField(min_value=1, max_value=MOST_COUNT, default=1)
    component = DesignField(required=False, allow_null=True, default=None)
    bought = serializers.ChoiceField(choices=Bought.choices, allow_blank=True, default="")
    bought_name = TextField(max_length=60, allow_blank=True, default="")


class JointBody(Body):
    """One joint."""

    kind = serializers.ChoiceField(choices=JointKind.choices)
    first_line = WholeField(min_value=0, max_value=MOST_ITEMS)
    second_line = WholeField(min_value=0, max_value=MOST_ITEMS)
    tool = TextField(max_length=60, allow_blank=True, default="")
    minutes = serializers.DecimalField(
        max_digits=5, decimal_places=1, min_value=0, max_value=MOST_MINUTES, default=Decimal(0)
    )


class AssemblyBody(ActBody):
    """All lines and joints of a design, in place of those it has."""

    items = ItemBody(many=True, max_length=MOST_ITEMS)
    joints = JointBody(many=True, max_length=MOST_JOINTS)


class Assembly(ActView, OneView):
    """The parts list of the design in the address, and whether it comes apart; POST sets it."""

    act = "design.edit"
    queryset = Design.objects.prefetch_related("items__component", "joints")
    lookup_field = "id"
    serializer_class = AssemblySerializer
    body_class = AssemblyBody
    answer_class = AssemblyAnswer

    def get_object(self):
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())

    def perform(self, sent, act):
        items = [ItemPlan(**item) for item in sent["items"]]
        joints = [JointPlan(**joint) for joint in sent["joints"]]
        design = set_assembly(design=self.get_object(), items=items, joints=joints, act=act)
        return {"design": design.name, "items": items, "joints": joints, "change": change_of(act)}
