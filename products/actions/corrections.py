"""What a correction of the book means for parts and their passports."""

from collections.abc import Iterable

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import record_change
from inventory.actions.refusals import refusal
from inventory.models import Posting
from products.actions.passports import locked_parts, written
from products.models import Part, Passport
from products.queries.passports import newest_passports


def name_new_making(*, wrong: Posting, right: Posting) -> None:
    """Let the parts of a posting name the one that replaces it; the caller is in a transaction."""
    Part.objects.filter(made_in=wrong).update(made_in=right)


@transaction.atomic
def reissue_passports(*, parts: Iterable[Part], act: Act) -> list[Passport]:
    """Issue new versions of the passports of some parts in one act; how they were made stays.

    Each version's UUID follows from the act's and the part's code. Refuses `reason`, and
    `nothing-to-issue` when none of the parts has a passport. A repeated UUID changes nothing.
    """
    parts = sorted(parts, key=lambda part: part.code)
    request = act.request("reissue passports", parts=[part.code for part in parts])
    if earlier(act, request):
        keys = [act.followed_by(part.code).key for part in parts]
        return list(Passport.objects.filter(uuid__in=keys).order_by("pk"))
    need_reason(act)
    newest = newest_passports(parts)
    found = locked_parts(part for part in parts if part.pk in newest)
    if not found:
        raise refusal(
            "nothing-to-issue", _("None of these parts has a passport to be issued anew.")
        )
    acts = [act.followed_by(part.code) for part in found]
    issued = written(found, None, newest_passports(found), acts)
    subject = _("%(count)s passports") % {"count": len(issued)}
    record_change(act=act, subject=subject, request=request, row=issued[-1])
    return issued
