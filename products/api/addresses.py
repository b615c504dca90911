"""The address in printed codes."""

from rest_framework import serializers

from inventory.api.acts import ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import TextField
from inventory.api.reads import ListView
from products.actions.addresses import move_address
from products.models import PrintedAddress


class AddressSerializer(serializers.Serializer):
    """An address that printed codes carry; the newest counts."""

    site_url = serializers.CharField()
    frozen_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    reason = serializers.CharField()


class AddressAnswer(AddressSerializer):
    """The address from now on."""

    change = ChangeSerializer()


class AddressBody(ReasonBody):
    """The address that SITE_URL names now, and why it moves."""

    site_url = TextField(max_length=200)


class Addresses(ActView, ListView):
    """Every address that codes carry, newest first; POST moves it."""

    act = "address.move"
    queryset = PrintedAddress.objects.select_related("by")
    serializer_class = AddressSerializer
    body_class = AddressBody
    answer_class = AddressAnswer

    def perform(self, sent, act):
        moved = move_address(site_url=sent["site_url"], act=act)
        moved.change = change_of(act)
        return moved
