"""How entries that waited on a tablet are answered: in JSON, since no person looks at the answer.

A tablet sends each act by script, with the header X-Queued:

- `now`: the act was typed a moment ago and its page waits. Done is answered `{"to": address}`;
  anything else is the page itself, as without script.
- `1`: the entry waited for the network; a refusal is JSON too, and what the page would have said
  goes along.

A refusal is `{code, detail, fields}` as in the API. What the book has under the entry's id by the
same person is done, whatever the page says now: its first answer was lost on the way.
"""

from django.contrib.messages import get_messages
from django.core.exceptions import NON_FIELD_ERRORS
from django.http import JsonResponse
from django.middleware.csrf import get_token
from django.utils import timezone
from django.utils.translation import gettext_lazy
from django.views.csrf import csrf_failure
from django.views.decorators.cache import never_cache

from inventory.queries.access import role_of
from inventory.queries.postings import was_done
from inventory.views.access import reads

STALE = "X-Old-Token"
MODES = {"now", "1"}
BAD_REQUEST, NOT_SIGNED_IN, REFUSED, FAULT = 400, 401, 422, 500
SENTENCES = {
    403: ("forbidden", gettext_lazy("Your role may not do this; ask the lead.")),
    404: ("gone", gettext_lazy("What this entry is about is not there any more.")),
    413: ("too-large", gettext_lazy("The file is too large; take a smaller picture.")),
}
LOOK_AGAIN = (
    "look-again",
    gettext_lazy("The page asks for something else now; open it, look, and send it again."),
)
SIGNED_OUT = gettext_lazy("Nobody is logged in here; log in, and the entry is sent.")


def answer_queued(get_response):
    """Answer what a tablet's queue sends in its own words; let everything else pass."""

    def middleware(request):
        mode = request.headers.get("X-Queued")
        if request.method != "POST" or mode not in MODES:
            return get_response(request)
        if not role_of(request.user):
            return refused(NOT_SIGNED_IN, "signed-out", SIGNED_OUT)
        return answered(request, get_response(request), mode)

    return middleware


def answered(request, response, mode: str):
    """Return the queue's own answer for the answer of a page."""
    if mode == "now":
        return done(request, response, mode) if "Location" in response else response
    if STALE in response:
        return response
    if is_done(response) or (not_reused(response) and was_done(request.POST.get("key"))):
        return done(request, response, mode)
    if response.status_code >= FAULT or is_json(response):
        return response
    return refusal_of(response)


def is_done(response) -> bool:
    """Whether the page did what it was asked: it leads on, or gives a file; never by showing a page."""
    if response.status_code >= BAD_REQUEST:
        return False
    kind = response.get("Content-Type", "")
    return "Location" in response or not kind.startswith("text/html")


def is_json(response) -> bool:
    """Whether something before the page refused in JSON already, such as that somebody else is here."""
    return response.get("Content-Type", "").startswith("application/json")


def not_reused(response) -> bool:
    """Whether the answer is anything but that the id belongs to another entry."""
    return "key-reused" not in codes_of(getattr(response, "form", None))


def codes_of(form) -> list[str]:
    """Return the codes of a form's errors, those of the whole form first."""
    if form is None:
        return []
    errors = form.errors.as_data()
    names = sorted(errors, key=lambda name: name != NON_FIELD_ERRORS)
    return [error.code or "invalid" for name in names for error in errors[name]]


def done(request, response, mode: str) -> JsonResponse:
    """Say that the entry is booked; what the page would say goes along, or stays for the next page."""
    said = [str(message) for message in get_messages(request)] if mode == "1" else []
    return answer({"done": True, "to": response.get("Location", ""), "said": said}, 200)


def refusal_of(response) -> JsonResponse:
    """Say why an entry was refused, by its form or else by the status of the page."""
    form = getattr(response, "form", None)
    if form is None or not form.errors:
        code, sentence = SENTENCES.get(response.status_code, LOOK_AGAIN)
        status = response.status_code if response.status_code >= BAD_REQUEST else REFUSED
        return refused(status, code, sentence)
    fields = {name: [str(each) for each in form.errors[name]] for name in form.errors}
    whole = fields.pop(NON_FIELD_ERRORS, []) or [text for name in fields for text in fields[name]]
    sentence = " ".join(whole)
    return refused(REFUSED, codes_of(form)[0], sentence, fields)


def refused(status: int, code: str, sentence, fields: dict | None = None) -> JsonResponse:
    """Return a refusal in the shape of the API's."""
    return answer({"code": code, "detail": str(sentence), "fields": fields or {}}, status)


def answer(content: dict, status: int) -> JsonResponse:
    """Return JSON with the book's clock, by which a tablet knows how wrong its own is."""
    response = JsonResponse(content | {"now": timezone.now().isoformat()}, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def old_token(request, reason=""):
    """Answer a form with a token of an earlier sign-in; a queue fetches a fresh one and sends again."""
    response = csrf_failure(request, reason)
    response.headers[STALE] = "1"
    return response


@never_cache
@reads
def who(request):
    """Say who is signed in, with a fresh token to send with."""
    return answer({"person": request.user.get_username(), "token": get_token(request)}, 200)
