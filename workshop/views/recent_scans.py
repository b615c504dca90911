"""The last scans at a tablet, so that one can go back to a thing without scanning it again.

They travel in a signed cookie of their own: a scan reads and writes nothing else, and the
session would be a row to write for each. The signature holds for one login only.
"""

from django.conf import settings
from django.core.signing import BadSignature, dumps, loads
from django.http import HttpResponse

from workshop.queries.scans import WORDS, ScanAnswer

COOKIE = "recent_scans"
MOST_SCANS = 8


def remember_scan(request, found: ScanAnswer) -> None:
    """Put what was scanned before the others, for this page; `keep_scans` keeps it for the next."""
    scan = [found.kind, found.name, found.code]
    others = [each for each in scans_known(request) if each[2] != found.code]
    request.scans_now = [scan, *others][:MOST_SCANS]


def keep_scans(request, answer: HttpResponse) -> HttpResponse:
    """Let an answer take the scans along, when they are others than the tablet has."""
    scans = request.scans_now
    if request.session.session_key and scans != scans_kept(request):
        answer.set_cookie(
            COOKIE,
            dumps(scans, salt=salt_of(request), compress=True),
            secure=settings.SESSION_COOKIE_SECURE,
            httponly=True,
            samesite="Lax",
        )
    return answer


def salt_of(request) -> str:
    """Return what the signature holds for: these scans, of this login."""
    return f"{COOKIE} {request.session.session_key}"


def scans_kept(request) -> list[list[str]]:
    """Return the scans in the cookie; none when it is of another login or no cookie of ours."""
    try:
        return loads(request.COOKIES.get(COOKIE, ""), salt=salt_of(request))
    except BadSignature:
        return []


def scans_known(request) -> list[list[str]]:
    """Return the scans of this request and those before it, the newest first."""
    return getattr(request, "scans_now", None) or scans_kept(request)


def recent_scans(request) -> list[dict]:
    """Return the last scans of the login, the newest first."""
    known = scans_known(request)
    return [{"word": WORDS.get(kind, ""), "name": name, "code": code} for kind, name, code in known]
