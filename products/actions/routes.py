"""The route of a design is set: what is done, in which order, until it is made."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from products.models import Design, Work

MOST_STEPS = 12
LONGEST_NOTE = 120


@transaction.atomic
def set_route(*, design: Design, route: list[tuple[str, str]], act: Act) -> Design:
    """Set the route of a design as pairs of work and note, in order; an empty one is no route.

    Refuses `route` for a work there is not, too many or too long a note, and for a route
    without the operation that the design is made by. A repeated UUID changes nothing.
    """
    said = [list(pair) for pair in route]
    request = act.request("set route", design=design.pk, route=said)
    if done := earlier(act, request):
        return outcome_of(done, Design)
    design = fresh(design)
    guard_route(design, route)
    design.route = [{"work": str(work), "note": note} for work, note in route]
    design.save()
    record_change(act=act, subject=str(design), request=request, row=design)
    return design


def guard_route(design: Design, route: list[tuple[str, str]]) -> None:
    """Refuse a route that does not lead to the design."""
    fits = len(route) <= MOST_STEPS and all(len(note) <= LONGEST_NOTE for _work, note in route)
    if not fits or not all(work in Work for work, _note in route):
        raise refusal(
            "route",
            _("A route has at most %(most)s lines, each a work there is; look through them."),
            most=MOST_STEPS,
        )
    if route and design.made_by not in [work for work, _note in route]:
        raise refusal(
            "route",
            _("The design is made by this and its route has it not: %(operation)s. Add it."),
            operation=design.get_made_by_display(),
        )
