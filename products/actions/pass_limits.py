"""The limit of melt passes of a design is set, or taken away."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from products.calculations.pass_limits import PassLimit
from products.models import Design


@transaction.atomic
def set_pass_limit(*, design: Design, limit: PassLimit | None, act: Act) -> Design:
    """Set from how many melt passes on no more than which share may go into a design; None is no limit.

    Refuses `pass-limit` for what limits nothing. What was loaded before stays as it is.
    A repeated UUID changes nothing.
    """
    said = vars(limit) if limit else None
    request = act.request("set pass limit", design=design.pk, limit=said)
    if done := earlier(act, request):
        return outcome_of(done, Design)
    if limit and not limit.can_be:
        raise refusal(
            "pass-limit", _("Give 1 to 9 melt passes and 0 to 99\u00a0%, or leave both empty.")
        )
    design = fresh(design)
    design.passes_from = limit.times if limit else None
    design.passes_most_percent = limit.most_percent if limit else None
    design.save()
    record_change(act=act, subject=str(design), request=request, row=design)
    return design
