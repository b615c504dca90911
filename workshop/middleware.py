"""One header that keeps every script, style and picture our own; one look at the session cookie."""

from django.conf import settings

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


def content_security_policy(get_response):
    """Add the content security policy to each answer."""

    def middleware(request):
        response = get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        return response

    return middleware


def plain_session_cookie(get_response):
    """Drop a session cookie that is no key; PostgreSQL would refuse to look for a NUL in it."""

    def middleware(request):
        if not request.COOKIES.get(settings.SESSION_COOKIE_NAME, "").isalnum():
            request.COOKIES.pop(settings.SESSION_COOKIE_NAME, None)
        return get_response(request)

    return middleware
