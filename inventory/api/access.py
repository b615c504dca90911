"""What every API view shares: who may come in, and in what dress."""

from django.core.exceptions import RequestDataTooBig
from django.utils.translation import gettext_lazy as _
from rest_framework.exceptions import ParseError
from rest_framework.generics import GenericAPIView
from rest_framework.parsers import JSONParser
from rest_framework.permissions import SAFE_METHODS, BasePermission

from inventory.api.schemas import ApiSchema
from inventory.queries.access import may, may_by_password, role_of

MOST_BODY_BYTES = 1024 * 1024


class MayAct(BasePermission):
    """Reading needs a role; writing needs one that may do the view's act."""

    message = _("Your role may not do this; ask the lead.")

    def has_permission(self, request, view):
        if request.method in SAFE_METHODS or not view.act:
            return bool(role_of(request.user))
        if may_by_password(request.user, view.act):
            self.message = _("A PIN does not open this; log in with your password for it.")
        return may(request.user, view.act)


class JsonBody(JSONParser):
    """JSON in UTF-8, not longer than a megabyte and not nested without end."""

    most_bytes = MOST_BODY_BYTES

    def parse(self, stream, media_type=None, parser_context=None):
        length = parser_context["request"].META.get("CONTENT_LENGTH") or 0
        if int(length) > self.most_bytes:
            raise RequestDataTooBig
        try:
            return super().parse(stream, media_type, parser_context | {"encoding": "utf-8"})
        except RecursionError:
            raise ParseError(_("The JSON is nested too deeply.")) from None


class ApiView(GenericAPIView):
    """A view of the API; `act` names its row in the table of who may do what, empty for reading."""

    act = ""
    permission_classes = [MayAct]
    parser_classes = [JsonBody]
    metadata_class = None
    http_method_names = ["get", "head", "post"]
    schema = ApiSchema()

    def initialize_request(self, request, *args, **kwargs):
        # JSON and query are UTF-8 whatever charset a client names; the public setter would
        # first read the query with that codec.
        request._encoding = "utf-8"
        return super().initialize_request(request, *args, **kwargs)
