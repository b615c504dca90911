"""The windows of a design: which there are, and setting them."""

from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, change_of
from inventory.api.names import found
from inventory.api.reads import OneView
from products.actions.windows import WindowPlan, set_windows
from products.models import Design, Quantity

MOST = 30


class WindowSerializer(serializers.Serializer):
    """The values between which a quantity is kept, in its unit; one end may be open."""

    quantity = serializers.CharField()
    low = serializers.DecimalField(max_digits=8, decimal_places=2, allow_null=True)
    high = serializers.DecimalField(max_digits=8, decimal_places=2, allow_null=True)


class DesignWindowsSerializer(serializers.Serializer):
    """The windows of a design."""

    design = serializers.CharField(source="name")
    windows = WindowSerializer(many=True)


class WindowsAnswer(serializers.Serializer):
    """The windows as they were set."""

    design = serializers.CharField()
    windows = WindowSerializer(many=True)
    change = ChangeSerializer()


class WindowBody(Body):
    """One window."""

    quantity = serializers.ChoiceField(choices=Quantity.choices)
    low = serializers.DecimalField(
        max_digits=8, decimal_places=2, required=False, allow_null=True, default=None
    )
    high = serializers.DecimalField(
        max_digits=8, decimal_places=2, required=False, allow_null=True, default=None
    )


class WindowsBody(ActBody):
    """All windows of a design, in place of those it has."""

    windows = WindowBody(many=True, max_length=MOST)


class Windows(ActView, OneView):
    """The windows of the design in the address; POST sets them all."""

    act = "design.edit"
    queryset = Design.objects.prefetch_related("windows")
    lookup_field = "id"
    serializer_class = DesignWindowsSerializer
    body_class = WindowsBody
    answer_class = WindowsAnswer

    def get_object(self):
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())

    def perform(self, sent, act):
        windows = [WindowPlan(**window) for window in sent["windows"]]
        design = set_windows(design=self.get_object(), windows=windows, act=act)
        return {"design": design.name, "windows": windows, "change": change_of(act)}
