"""Sources are added and changed."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from inventory.models import Source


@transaction.atomic
def save_source(*, fields: dict, act: Act, source: Source | None = None) -> Source:
    """Add a source, or change one; a repeated UUID changes nothing.

    Refuses `name-taken` when another source has the name.
    """
    request = act.request("source", fields=fields, source=source.pk if source else None)
    if done := earlier(act, request):
        return outcome_of(done, Source)
    others = Source.objects.exclude(pk=source.pk) if source else Source.objects.all()
    if others.filter(name__iexact=fields["name"]).exists():
        raise refusal("name-taken", _("A source of this name exists; open it instead."))
    source = fresh(source) if source else Source()
    for name, value in fields.items():
        setattr(source, name, value)
    source.save()
    record_change(act=act, subject=str(source), request=request, row=source)
    return source
