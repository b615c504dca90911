"""The one place where the API turns a refusal into its answer: {code, detail, fields}."""

import logging

from django.conf import settings
from django.core.exceptions import NON_FIELD_ERRORS, RequestDataTooBig, SuspiciousOperation
from django.core.exceptions import PermissionDenied as NoPermission
from django.core.exceptions import ValidationError as Refusal
from django.core.signals import got_request_exception
from django.db import DataError, IntegrityError
from django.http import Http404
from django.http.multipartparser import MultiPartParserError
from django.utils.translation import gettext as _
from rest_framework import status
from rest_framework.exceptions import ErrorDetail, PermissionDenied, ValidationError
from rest_framework.response import Response
from rest_framework.views import exception_handler

from inventory.actions.refusals import CONFLICT

CONFLICTS = frozenset(
    {
        "already-received",
        "already-reversed",
        "book-moved",
        "conflict",
        "content-changed",
        "key-reused",
        "later-postings",
    }
)
LONGEST_TEXT = 300
CODES = {
    status.HTTP_403_FORBIDDEN: "forbidden",
    status.HTTP_404_NOT_FOUND: "not-found",
}
logger = logging.getLogger("django.request")


def answer_refusal(error, context):
    """Answer any error in one shape; what is no refusal is logged and answered 500."""
    if isinstance(error, Refusal):
        return answer_action(error)
    if isinstance(error, IntegrityError):
        return answer("conflict", CONFLICT, status.HTTP_409_CONFLICT)
    if isinstance(error, RequestDataTooBig):
        sentence = _("This is too much for one request.")
        return answer("too-large", sentence, status.HTTP_413_REQUEST_ENTITY_TOO_LARGE)
    if isinstance(error, SuspiciousOperation | MultiPartParserError | DataError):
        return answer("invalid", _("This request cannot be read."), status.HTTP_400_BAD_REQUEST)
    response = exception_handler(error, context)
    if response is None:
        return answer_fault(error, context)
    response.data = body_of(error, response)
    return response


def answer(code: str, detail, code_of_status: int, fields: dict | None = None) -> Response:
    """Answer in the one shape."""
    body = {"code": code, "detail": clean(detail), "fields": fields or {}}
    return Response(body, status=code_of_status)


def answer_action(error: Refusal) -> Response:
    """Answer an action that said no: 409 where the book stands against it, else 422."""
    fields = {}
    if hasattr(error, "error_dict"):
        named = error.message_dict.items()
        fields = {name: texts_of(texts) for name, texts in named if name != NON_FIELD_ERRORS}
        first = next(iter(error.error_dict.values()))[0]
    else:
        first = error.error_list[0]
    code = first.code or "invalid"
    conflict = code in CONFLICTS
    kind = status.HTTP_409_CONFLICT if conflict else status.HTTP_422_UNPROCESSABLE_ENTITY
    return answer(code, " ".join(error.messages), kind, fields)


def answer_fault(error, context) -> Response | None:
    """Log what nobody foresaw as Django would, and answer 500 in the one shape."""
    if settings.DEBUG:
        return None
    request = context["request"]
    got_request_exception.send(sender=type(context["view"]), request=request)
    logger.error("Internal Server Error: %s", request.path, exc_info=error)
    sentence = _("Something broke here; try once more, then tell the lead.")
    return answer("fault", sentence, status.HTTP_500_INTERNAL_SERVER_ERROR)


def body_of(error, response) -> dict:
    """Return the body of an answer that REST framework itself refused."""
    if isinstance(error, ValidationError):
        return body_of_fields(error.detail)
    code = CODES.get(response.status_code) or error.get_codes()
    detail = response.data.get("detail", "") if isinstance(response.data, dict) else ""
    if isinstance(error, Http404 | NoPermission) and not isinstance(error, PermissionDenied):
        detail = str(error) or detail
    return {"code": str(code).replace("_", "-"), "detail": clean(detail), "fields": {}}


def body_of_fields(detail) -> dict:
    """Return the body that names what is wrong with which field."""
    named = detail if isinstance(detail, dict) else {"non_field_errors": detail}
    fields = {clean(name)[:60]: texts_of(texts) for name, texts in named.items()}
    general = fields.pop("non_field_errors", [])
    sentence = " ".join(general) or _("Check the fields named.")
    return {"code": "invalid", "detail": sentence, "fields": fields}


def texts_of(texts) -> list[str]:
    """Return every sentence in a nest of lists and dicts, in order."""
    if isinstance(texts, dict):
        return [text for each in texts.values() for text in texts_of(each)]
    if isinstance(texts, list | tuple):
        return [text for each in texts for text in texts_of(each)]
    return [clean(texts)]


def clean(text: str | ErrorDetail) -> str:
    """Return a text fit to be sent: no half characters, and no more of the client's own than needed."""
    return str(text)[:LONGEST_TEXT].encode("utf-8", "replace").decode("utf-8")
