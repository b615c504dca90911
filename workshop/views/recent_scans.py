"""The last scans of a session, so that one can go back to a thing without scanning it again."""

from workshop.queries.scans import WORDS, ScanAnswer

SESSION_KEY = "recent_scans"
MOST_SCANS = 8


def remember_scan(request, found: ScanAnswer) -> None:
    """Put what was scanned before the others; what is first already is not written again."""
    scan = [found.kind, found.name, found.code]
    earlier = request.session.get(SESSION_KEY, [])
    if earlier[:1] != [scan]:
        others = [each for each in earlier if each[2] != found.code]
        request.session[SESSION_KEY] = [scan, *others][:MOST_SCANS]


def recent_scans(request) -> list[dict]:
    """Return the last scans of the session, the newest first."""
    scans = request.session.get(SESSION_KEY, [])
    return [{"word": WORDS.get(kind, ""), "name": name, "code": code} for kind, name, code in scans]
