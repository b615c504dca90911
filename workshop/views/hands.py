"""Which hand holds the thumb that taps; kept on the tablet, since tablets hang where they hang."""

from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from inventory.views.access import reads

HAND = "hand"
HANDS = ("left", "right")
YEAR_SECONDS = 365 * 24 * 3600


@require_POST
@reads
def choose(request):
    """Keep the hand on this tablet and go back to where it was chosen."""
    back = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = "home"
    answer = redirect(back)
    if request.POST.get(HAND) in HANDS:
        answer.set_cookie(
            HAND,
            request.POST[HAND],
            max_age=YEAR_SECONDS,
            samesite="Lax",
            secure=request.is_secure(),
            httponly=True,
        )
    return answer


def hand_of(request) -> str:
    """Return the hand kept on this tablet; the right one until somebody says otherwise."""
    kept = request.COOKIES.get(HAND)
    return kept if kept in HANDS else "right"
