"""Pages of a shared tablet: who works here, the PIN, the lock, and what was typed before it."""

from functools import wraps

from django.contrib import messages
from django.contrib.auth.views import LogoutView
from django.http import HttpResponse, JsonResponse
from django.middleware.csrf import rotate_token
from django.shortcuts import get_object_or_404, redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from inventory.views.access import attempt, page
from workshop.actions.turns import begin_turn, end_turn
from workshop.forms.turns import TurnForm
from workshop.models import Turn
from workshop.queries.people import lately_at, name_of, people_for_bench


def at_bench(view):
    """Open the view at a shared tablet only, locked or not; anybody else goes to the start."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        if request.bench is None:
            return redirect("home")
        return never_cache(view)(request, *args, **kwargs)

    guarded.act, guarded.opens_locked, guarded.is_secret = "", True, True
    return guarded


@at_bench
def pick(request):
    people = list(people_for_bench())
    lately = lately_at(request.bench.login, people)
    context = {
        "lately": [choice(person) for person in lately],
        "others": [choice(person) for person in people if person not in lately],
        "next": where_to(request),
    }
    return page(request, "workshop/turns/pick.html", context)


def choice(person) -> dict:
    """Return a person as the page of names prints it."""
    return {"pk": person.pk, "name": name_of(person)}


@sensitive_post_parameters("pin")
@at_bench
def begin(request, pk):
    person = get_object_or_404(people_for_bench(), pk=pk)
    form = TurnForm(request.POST or None)
    turn = None
    if form.is_valid():
        bench, pin = request.bench, form.cleaned_data["pin"]
        turn = attempt(
            form, begin_turn, bench=bench.login, person=person, pin=pin, before=bench.turn
        )
    if turn:
        sign_on(request, turn)
    if request.method == "POST" and request.headers.get("Accept") == "application/json":
        return told(form)
    if turn:
        return redirect("workshop:turn-typed" if waits_for(request) else where_to(request))
    context = {"person": choice(person), "next": where_to(request), "is_locked": is_locked(form)}
    return page(request, "workshop/turns/begin.html", context, form)


def told(form) -> JsonResponse:
    """Answer the lock that lies over a page."""
    if form.errors:
        detail = " ".join(text for texts in form.errors.values() for text in texts)
        return JsonResponse({"detail": detail, "is_locked": is_locked(form)}, status=422)
    return JsonResponse({"detail": ""})


def is_locked(form) -> bool:
    """Return whether a further try would not even be looked at."""
    return any(error.code != "wrong-pin" for error in form.non_field_errors().as_data())


def sign_on(request, turn: Turn) -> None:
    """Bind the turn to the session under a new key.

    For another person the pages that are still open lose their right to send anything.
    """
    is_another = request.session.get("person") != turn.person_id
    request.session.cycle_key()
    request.session["turn"], request.session["person"] = turn.pk, turn.person_id
    if is_another:
        rotate_token(request)


@require_POST
@at_bench
def lock(request):
    if request.bench.turn:
        end_turn(turn=request.bench.turn)
    request.session.pop("turn", None)
    if request.headers.get("Accept") == "application/json":
        return HttpResponse(status=204)
    return redirect("workshop:turn-pick")


@at_bench
def seen(request):
    """Say who works here; a POST is a sign of life, which the middleware has counted."""
    person = request.bench.person
    return JsonResponse({"person": person.get_username() if person else ""})


@at_bench
def typed(request):
    entry = waits_for(request)
    if entry is None:
        return redirect("home")
    if request.method == "POST":
        del request.session["typed"]
        messages.success(request, _("What was typed before the lock is thrown away."))
        return redirect("home")
    context = {"place": "none", "entry": entry, "facts": facts_of(entry)}
    return page(request, "workshop/turns/typed.html", context)


def facts_of(entry: dict) -> list[tuple[str, str]]:
    """Return what was typed as a person reads it: not the ids that a page sends along."""
    named = [(name, text) for name, text in entry["fields"] if text and "key" not in name]
    return [(name.replace("_", " ").replace("-", " ").capitalize(), text) for name, text in named]


def waits_for(request) -> dict | None:
    """Return what was typed before the lock, if it is for the person who is here now."""
    entry = request.session.get("typed")
    return entry if entry and entry["by"] in (None, request.session.get("person")) else None


def where_to(request, otherwise: str = "/") -> str:
    """Return the page to go on with, one of our own."""
    where = request.POST.get("next") or request.GET.get("next") or ""
    is_ours = where.startswith("/") and url_has_allowed_host_and_scheme(
        where, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return where if is_ours else otherwise


def leave(request):
    """Log out; at a bench the turn ends too."""
    if request.method == "POST" and request.bench and request.bench.turn:
        end_turn(turn=request.bench.turn)
    return LogoutView.as_view()(request)
