"""How views describe themselves in the schema: what they take, what they answer, how they refuse."""

from drf_spectacular.openapi import AutoSchema
from rest_framework import serializers


class RefusalSerializer(serializers.Serializer):
    """The one shape of every answer that says no."""

    code = serializers.CharField(help_text="A short word that stays the same.")
    detail = serializers.CharField(help_text="One sentence for a person.")
    fields = serializers.DictField(
        child=serializers.ListField(child=serializers.CharField()),
        help_text="What is wrong with which field of the body.",
    )


READ_REFUSALS = (400, 401, 403, 404)
WRITE_REFUSALS = (*READ_REFUSALS, 409, 413, 415, 422)
THROTTLED = (429,)


class ApiSchema(AutoSchema):
    """Reads a view's `body_class` and `answer_class` for its POST."""

    def get_request_serializer(self):
        return self.view.body_class if self.method == "POST" else None

    def get_response_serializers(self):
        if self.method == "POST":
            good = {getattr(self.view, "answer_status", 201): self.view.answer_class}
            refusals = WRITE_REFUSALS + (THROTTLED if self.view.throttle_classes else ())
        else:
            good = {200: super().get_response_serializers()}
            refusals = READ_REFUSALS
        return good | dict.fromkeys(refusals, RefusalSerializer)
