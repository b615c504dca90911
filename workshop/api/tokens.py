"""A token for a program, in exchange for a name and a password."""

from django.contrib.auth import authenticate
from django.utils.translation import gettext as _
from rest_framework import serializers
from rest_framework.exceptions import AuthenticationFailed, Throttled
from rest_framework.permissions import AllowAny
from rest_framework.response import Response
from rest_framework.throttling import SimpleRateThrottle

from inventory.api.access import ApiView
from inventory.api.acts import Body
from inventory.api.fields import TextField
from workshop.actions.tokens import issue_token


class TokenRate(SimpleRateThrottle):
    """So many tries a minute from one address, whatever names they try."""

    scope = "token"
    rate = "30/min"

    def get_cache_key(self, request, view):
        # An address that a client only claims to forward for would be free to choose.
        caller = request.META.get("REMOTE_ADDR", "")
        return self.cache_format % {"scope": self.scope, "ident": caller}


class TokenBody(Body):
    """Who asks."""

    username = TextField(max_length=150)
    password = TextField(max_length=500, trim_whitespace=False, write_only=True)


class TokenAnswer(serializers.Serializer):
    """The token, to be sent as `Authorization: Token ...`."""

    token = serializers.CharField(source="key")


class Tokens(ApiView):
    """Exchange a name and a password for a token."""

    authentication_classes = []
    permission_classes = [AllowAny]
    throttle_classes = [TokenRate]
    body_class = TokenBody
    answer_class = TokenAnswer
    answer_status = 200

    def get_authenticate_header(self, request):
        return "Token"

    def post(self, request):
        body = self.body_class(data=request.data)
        body.is_valid(raise_exception=True)
        user = authenticate(request, **body.validated_data)
        if getattr(request, "axes_locked_out", False):
            raise Throttled(detail=_("Too many failures; wait a quarter of an hour."))
        if user is None:
            raise AuthenticationFailed(_("Name and password do not fit."))
        return Response(self.answer_class(issue_token(user=user)).data)
