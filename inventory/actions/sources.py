"""Sources are added and changed."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import record_change
from inventory.actions.refusals import refusal
from inventory.models import Source


@transaction.atomic
def save_source(*, fields: dict, act: Act, source: Source | None = None) -> Source:
    """Add a source, or change one; a repeated UUID changes nothing.

    Refuses `name-taken` when another source has the name.
    """
    request = act.request("source", fields=fields, source=source.pk if source else None)
    if earlier(act, request):
        return Source.objects.get(name=fields["name"])
    others = Source.objects.exclude(pk=source.pk) if source else Source.objects.all()
    if others.filter(name__iexact=fields["name"]).exists():
        raise refusal("name-taken", _("A source of this name exists; open it instead."))
    source = source or Source()
    for name, value in fields.items():
        setattr(source, name, value)
    source.save()
    record_change(act=act, subject=str(source)[:60], request=request)
    return source
