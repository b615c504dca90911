"""What the API tells of everything that happens while a run makes things."""

from rest_framework import serializers

from inventory.api.acts import ChangeSerializer, change_of
from inventory.api.filters import KnownParameters
from inventory.api.reads import ListView
from workshop.api.runs import RunActView
from workshop.models.moments import Moment


class MomentSerializer(serializers.Serializer):
    """When and by whom; happened_at in the workshop, recorded_at in the book."""

    uuid = serializers.UUIDField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")


class MomentAnswer(MomentSerializer):
    """What an act wrote down, and the change that says so."""

    run = serializers.CharField(source="run.code")
    change = ChangeSerializer()


class MomentsView(RunActView, ListView):
    """What happened in the run in the address, in the order of the workshop; POST adds to it."""

    act = "run.make"
    filter_backends = [KnownParameters]

    def rows(self, run):
        raise NotImplementedError

    def list(self, request, *args, **kwargs):
        self.filter_queryset(self.get_queryset())
        shown = self.paginate_queryset(self.rows(self.run()))
        return self.get_paginated_response(self.get_serializer(shown, many=True).data)


def told(row: Moment, act) -> Moment:
    """Return a row with the change that its answer shows."""
    row.change = change_of(act)
    return row
