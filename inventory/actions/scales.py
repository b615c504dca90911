"""Scales are added and changed; past weighings keep the step they were made with."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from inventory.models import Scale


@transaction.atomic
def save_scale(*, fields: dict, act: Act, scale: Scale | None = None) -> Scale:
    """Add a scale, or change one; a repeated UUID changes nothing.

    Refuses `name-taken`, and `resolution` unless it lies between zero and the capacity.
    """
    request = act.request("scale", fields=fields, scale=scale.pk if scale else None)
    if done := earlier(act, request):
        return outcome_of(done, Scale)
    others = Scale.objects.exclude(pk=scale.pk) if scale else Scale.objects.all()
    if others.filter(name__iexact=fields["name"]).exists():
        raise refusal("name-taken", _("A scale of this name exists; change that one."))
    if not 0 < fields["resolution_mg"] < fields["capacity_mg"]:
        raise refusal("resolution", _("The step must be above zero and below the capacity."))
    scale = fresh(scale) if scale else Scale()
    for name, value in fields.items():
        setattr(scale, name, value)
    scale.save()
    record_change(act=act, subject=str(scale), request=request, row=scale)
    return scale
