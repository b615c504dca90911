"""What the machine shows is noted beside the window that holds for it."""

from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of
from inventory.actions.refusals import refusal
from products.calculations.quantities import QUANTITIES, can_be
from products.models import Quantity
from workshop.actions.moments import add_moment, making_run
from workshop.models import Reading, Run
from workshop.queries.readings import gauge_of, quantities_of


@transaction.atomic
def note_reading(*, run: Run, quantity: str, value: Decimal, act: Act) -> Reading:
    """Note one value off the machine, with its window and the polymer's fume ceiling as they are now.

    A value out of its window, or above the ceiling, is noted and marked so. Refuses
    `wrong-quantity` when it is not read in this operation, `absurd` when it cannot be true,
    `run-closed`, `too-early`. A repeated UUID changes nothing.
    """
    request = act.request("note reading", run=run, quantity=quantity, value=value)
    if done := earlier(act, request):
        return outcome_of(done, Reading)
    run = making_run(run, act)
    guard_reading(run, quantity, value)
    gauge = gauge_of(run, quantity)
    fields = {name: getattr(gauge, name) for name in ("low", "high", "window_from", "polymer")}
    fields |= {"window_source": gauge.source[:120], "fume_above_c": gauge.fume_above_c}
    fields["is_above_fume"] = gauge.is_above_fume(value)
    return add_moment(
        Reading, run=run, act=act, request=request, quantity=quantity, value=value, **fields
    )


def guard_reading(run: Run, quantity: str, value: Decimal) -> None:
    """Refuse what is not read in the run's operation, and a value that cannot be true."""
    if quantity not in quantities_of(run):
        raise refusal("wrong-quantity", _("This is not read in this operation; choose another."))
    if not can_be(quantity, value):
        rule = QUANTITIES[quantity]
        raise refusal(
            "absurd",
            _("No %(quantity)s is %(value)s %(unit)s; it lies between %(least)s and %(most)s"
              " %(unit)s. Read it again."),
            quantity=Quantity(quantity).label,
            value=f"{value:f}",
            unit=rule.unit,
            least=f"{rule.least:f}",
            most=f"{rule.most:f}",
        )  # fmt: skip
