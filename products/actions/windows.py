"""The windows of a design are set: between which values it is made."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from products.calculations.quantities import READ_IN, can_be
from products.models import Design, Quantity, Window


@dataclass(frozen=True)
class WindowPlan:
    """The values between which a quantity is to be kept; one end may be open."""

    quantity: str
    low: Decimal | None = None
    high: Decimal | None = None

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return {"quantity": str(self.quantity), "low": self.low, "high": self.high}


@transaction.atomic
def set_windows(*, design: Design, windows: list[WindowPlan], act: Act) -> Design:
    """Set all windows of a design in place of those it had; readings keep the window they met.

    Refuses `wrong-quantity` for what is not read when it is made, `window` for one without an
    end, upside down, twice, or of values that cannot be. A repeated UUID changes nothing.
    """
    said = [window.plain() for window in windows]
    request = act.request("set windows", design=design.pk, windows=said)
    if done := earlier(act, request):
        return outcome_of(done, Design)
    design = fresh(design)
    for window in windows:
        guard_window(design, window)
    if len({window.quantity for window in windows}) < len(windows):
        raise refusal("window", _("Each quantity has one window; leave one of them out."))
    design.windows.all().delete()
    Window.objects.bulk_create(Window(design=design, **vars(window)) for window in windows)
    record_change(act=act, subject=str(design), request=request, row=design)
    return design


def guard_window(design: Design, window: WindowPlan) -> None:
    """Refuse a window that no reading could use."""
    if window.quantity not in READ_IN[design.made_by]:
        raise refusal(
            "wrong-quantity", _("This is not read when the design is made; leave it out.")
        )
    ends = [end for end in (window.low, window.high) if end is not None]
    if not ends or ends != sorted(ends) or not all(can_be(window.quantity, end) for end in ends):
        raise refusal(
            "window",
            _(
                "The window of the %(quantity)s is none; give a lower and a higher value that can be."
            ),
            quantity=Quantity(window.quantity).label,
        )
