"""The one place where the API turns a refusal into its answer: {code, detail, fields}."""

from django.core.exceptions import NON_FIELD_ERRORS
from django.core.exceptions import ValidationError as Refusal
from rest_framework import status
from rest_framework.exceptions import APIException, ValidationError
from rest_framework.response import Response
from rest_framework.views import exception_handler

CONFLICTS = frozenset({"key-reused", "already-reversed", "later-postings"})


def answer_refusal(error, context):
    """Answer any refusal in one shape; what is no refusal stays an error."""
    if isinstance(error, Refusal):
        return answer_action(error)
    response = exception_handler(error, context)
    if response is not None:
        response.data = body_of(error, response.data)
    return response


def answer_action(error: Refusal) -> Response:
    """Answer an action that said no: 409 where the book stands against it, else 422."""
    fields = {}
    if hasattr(error, "error_dict"):
        fields = {
            name: texts for name, texts in error.message_dict.items() if name != NON_FIELD_ERRORS
        }
        first = next(iter(error.error_dict.values()))[0]
    else:
        first = error.error_list[0]
    code = first.code or "invalid"
    conflict = code in CONFLICTS
    answer = status.HTTP_409_CONFLICT if conflict else status.HTTP_422_UNPROCESSABLE_ENTITY
    detail = " ".join(error.messages)
    return Response({"code": code, "detail": detail, "fields": fields}, status=answer)


def body_of(error, data) -> dict:
    """Return the body of an answer that REST framework itself refused."""
    if isinstance(error, ValidationError):
        fields = data if isinstance(data, dict) else {"": data}
        return {"code": "invalid", "detail": "Check the fields named.", "fields": fields}
    code = getattr(error, "default_code", "not_found").replace("_", "-")
    if isinstance(error, APIException) and isinstance(error.get_codes(), str):
        code = error.get_codes().replace("_", "-")
    detail = data.get("detail", "") if isinstance(data, dict) else ""
    return {"code": code, "detail": str(detail), "fields": {}}
