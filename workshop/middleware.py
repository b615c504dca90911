"""What stands before every page: our own scripts only, a sound cookie, and who works at a bench."""

from http import HTTPStatus
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import (
    Http404,
    HttpResponse,
    HttpResponseNotAllowed,
    JsonResponse,
    QueryDict,
)
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.queries.access import by_pin, is_bench
from workshop.actions.turns import keep_turn
from workshop.queries.people import Bench, turn_now

OPEN_PAGES = {"login", "logout", "api:token", "worker"}
METHODS = ("GET", "HEAD", "POST")  # that pages know; the API says for each address
MOST_KEPT = 60_000  # letters of one form
POLICY = "; ".join(
    [
        "default-src 'self'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "object-src 'none'",
        "base-uri 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    ]
)


def bare_head(get_response):
    """Answer HEAD without a body, whatever the server does: what follows on the line would be misread."""

    def middleware(request):
        response = get_response(request)
        if request.method != "HEAD":
            return response
        bare = HttpResponse(status=response.status_code, headers=response.headers)
        bare.setdefault(
            "Content-Length", "0"
        )  # without one the server would send an empty last chunk
        bare.cookies = response.cookies
        bare._resource_closers = response._resource_closers  # noqa: SLF001 (files are closed as ever)
        return bare

    return middleware


def content_security_policy(get_response):
    """Add the content security policy to each answer."""

    def middleware(request):
        response = get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        return response

    return middleware


def private_pages(get_response):
    """Let nobody on the way keep what is for the person logged in, unless the view says otherwise."""

    def middleware(request):
        response = get_response(request)
        if settings.SESSION_COOKIE_NAME in request.COOKIES:
            response.headers.setdefault("Cache-Control", "private, no-cache")
        return response

    return middleware


def bounded_body(get_response):
    """Turn away a body that is too large before any of it is read: files would fill the disk."""

    def middleware(request):
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdecimal() and int(length) <= settings.DATA_UPLOAD_MAX_MEMORY_SIZE:
            return get_response(request)
        sentence = _("This is too much for one request; send a smaller file.")
        if "text/html" in request.headers.get("Accept", ""):
            return render(request, "413.html", {"sentence": sentence}, status=413)
        return refused("too-large", sentence, 413)

    return middleware


def known_methods(get_response):
    """Answer 405 in a sentence what a page does not know: a page would take any method for a GET."""

    def middleware(request):
        if request.path_info.startswith("/api/"):
            return get_response(request)
        is_known = request.method in METHODS
        response = get_response(request) if is_known else HttpResponseNotAllowed(METHODS)
        if response.status_code != HTTPStatus.METHOD_NOT_ALLOWED or response.content:
            return response
        headers = {"Allow": response.headers["Allow"]}
        if "text/html" in request.headers.get("Accept", ""):
            page = render(request, "405.html", status=response.status_code)
            page.headers["Allow"] = headers["Allow"]
            return page
        sentence = _("This address does not take that; open the page and use its buttons.")
        return refused("method-not-allowed", sentence, response.status_code, headers)

    return middleware


def plain_address(get_response):
    """Find nothing at an address with a NUL in it; PostgreSQL would refuse to look for one."""

    def middleware(request):
        if "\x00" in request.path_info and not request.path_info.startswith("/api/"):
            raise Http404
        return get_response(request)

    return middleware


def plain_session_cookie(get_response):
    """Drop a session cookie that is no key; PostgreSQL would refuse to look for a NUL in it."""

    def middleware(request):
        if not request.COOKIES.get(settings.SESSION_COOKIE_NAME, "").isalnum():
            request.COOKIES.pop(settings.SESSION_COOKIE_NAME, None)
        return get_response(request)

    return middleware


class AtBench:
    """Let the person whose turn it is act from a shared tablet, and nobody while it is locked.

    A bench by itself has no role. Whoever typed a PIN acts with a role that `role_of` caps, and
    the admin stays closed. What was typed into a locked bench is kept for who typed it.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        request.bench = bench_of(request)
        if request.bench and request.bench.turn:
            request.user = by_pin(request.bench.person)
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        """Turn away who has to pick a name first, and what somebody else typed."""
        if brings_token(request):
            return None
        if request.bench and not request.bench.turn:
            return None if opens_locked(request, view) else locked_answer(request, view)
        if request.bench and "admin" in request.resolver_match.app_names:
            raise PermissionDenied(_("A PIN does not open this; log in with your password for it."))
        if refusal := typed_by_another(request):
            return refusal
        return touched(request) if request.bench else None


def bench_of(request) -> Bench | None:
    """Return the bench that the request comes from, if its login is one."""
    if settings.SESSION_COOKIE_NAME not in request.COOKIES or not is_bench(request.user):
        return None
    return Bench(request.user, turn_now(request.session.get("turn"), request.user))


def brings_token(request) -> bool:
    """Return whether the API will look at a token and not at the session."""
    return is_api(request) and "Authorization" in request.headers


def is_api(request) -> bool:
    """Return whether the address is one of the API."""
    return "api" in request.resolver_match.app_names


def opens_locked(request, view) -> bool:
    """Return whether a page opens at a locked bench: to pick a name, to log in or out, a token."""
    name = request.resolver_match.view_name
    return getattr(view, "opens_locked", False) or name in OPEN_PAGES


def locked_answer(request, view) -> HttpResponse:
    """Lead to the names, keeping where one was and what was typed; tell a program in a sentence."""
    sentence = _("Pick your name first.")
    if is_api(request) or "X-Typed-By" in request.headers:
        return refused("pick-your-name", sentence, 403)
    if request.headers.get("HX-Request"):
        return HttpResponse(status=204, headers={"HX-Trigger": "bench-locked"})
    where = request.get_full_path()
    if request.method == "POST":
        where = urlsplit(request.headers.get("Referer", "")).path or "/"
        if keeps(request, view):
            sentence = _("Pick your name first; what was typed is kept.")
        messages.warning(request, sentence)
    query = QueryDict(mutable=True)
    query["next"] = where
    return redirect(f"{reverse('workshop:turn-pick')}?{query.urlencode(safe='/')}")


def keeps(request, view) -> bool:
    """Keep in the session what was typed, for who was here last; a PIN is never kept."""
    fields = [[name, text] for name, texts in request.POST.lists() for text in texts]
    fields = [pair for pair in fields if pair[0] != "csrfmiddlewaretoken"]
    is_small = sum(len(name) + len(text) for name, text in fields) <= MOST_KEPT
    if not getattr(view, "act", "") or getattr(view, "is_secret", False) or not is_small:
        return False
    request.session["typed"] = {
        "path": request.get_full_path(),
        "fields": fields,
        "had_files": bool(request.FILES),
        "by": request.session.get("person"),
    }
    return True


def typed_by_another(request) -> HttpResponse | None:
    """Refuse an entry that waited on the tablet and was typed by somebody else than is here now."""
    typed_by = unquote(request.headers.get("X-Typed-By", ""))
    if not typed_by or request.method != "POST":
        return None
    if not request.user.is_authenticated:
        return refused("not-authenticated", _("Log in first; the entry waits."), 401)
    if typed_by == request.user.get_username():
        return None
    facts = {"name": typed_by[:150], "here": request.user.get_username()}
    sentence = _("%(name)s typed this and %(here)s is here now; it waits until %(name)s is back.")
    return refused("other-person", sentence % facts, 409)


def touched(request) -> None:
    """Count what a person did as a sign of life; what was typed before the lock is sent once."""
    typed = request.session.get("typed")
    if typed and request.method == "POST" and request.get_full_path() == typed["path"]:
        del request.session["typed"]
    if not is_by_itself(request):
        keep_turn(turn=request.bench.turn)


def is_by_itself(request) -> bool:
    """Return whether a page asks without anybody touching it: it looks again, or its queue sends."""
    if request.method == "POST":
        return request.headers.get("X-Queued") == "1"
    return "HX-Request" in request.headers or "text/html" not in request.headers.get("Accept", "")


def refused(code: str, sentence: str, status: int, headers: dict | None = None) -> JsonResponse:
    """Answer a program in the shape of the API."""
    told = {"code": code, "detail": sentence, "fields": {}}
    return JsonResponse(told, status=status, headers=headers)
