"""Who may open a page that acts, and what such a page does with a refusal."""

from functools import wraps

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError
from django.shortcuts import render
from django.utils.translation import gettext as _

from inventory.actions.refusals import CONFLICT, refusal
from inventory.queries.access import ACTS, may, may_by_password, role_of
from inventory.queries.keysets import UnknownPageError


def allows(act: str):
    """Let only people whose role may do the act open the view."""

    def wrap(view):
        @wraps(view)
        def guarded(request, *args, **kwargs):
            if not may(request.user, act):
                raise PermissionDenied(why_not(request.user, act))
            return shown(view, request, *args, **kwargs)

        guarded.act = act
        return guarded

    return wrap


def why_not(user, act: str) -> str:
    """Return the sentence for somebody who may not do an act."""
    if may_by_password(user, act):
        return _("A PIN does not open this; log in with your password for it.")
    return _("Your role may read this page but not do this; ask the lead.")


def reads(view):
    """Let everyone with a role read the view; a login without a role sees nothing."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        if not role_of(request.user):
            raise PermissionDenied(_("You have no role here yet; ask the lead to give you one."))
        return shown(view, request, *args, **kwargs)

    guarded.act = ""
    return guarded


def shown(view, request, *args, **kwargs):
    """Return what a view answers; a page of a list that cannot be found answers 404 in a sentence."""
    try:
        return view(request, *args, **kwargs)
    except UnknownPageError as unknown:
        query = request.GET.copy()
        query.pop("page", None)
        context = {"place": "none", "sentence": unknown.messages[0], "query": query.urlencode()}
        return render(request, "inventory/unknown_page.html", context, status=404)


def attempt(form, action, **arguments):
    """Return what the action made, or None with the refusal put onto the form."""
    try:
        return action(**arguments)
    except ValidationError as refused:
        form.add_error(place_of(form, refused), refused)
    except IntegrityError:
        form.add_error(None, refusal("conflict", CONFLICT))
    return None


def place_of(form, refused: ValidationError) -> str | None:
    """Return the field that a refusal is about, as the form tells by `refused_at`; None for the whole form."""
    field = getattr(form, "refused_at", {}).get(getattr(refused, "code", None))
    return field if field in form.fields else None


def page(request, template: str, context: dict, form=None):
    """Render a page; a refused form answers 422 so that nothing is taken for done."""
    status = 422 if form is not None and form.errors else 200
    response = render(request, template, context | ({"form": form} if form else {}), status=status)
    if form is not None:
        response.form = form
        # Going back after an entry shows a new form, not the one that was sent already.
        response.headers["Cache-Control"] = "no-store"
    return response


def granted(user) -> dict[str, bool]:
    """Return what the user may do, by act with underscores, so that a page offers no more."""
    return {act.replace(".", "_").replace("-", "_"): may(user, act) for act in ACTS}
