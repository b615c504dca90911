"""Corrections: what was wrong is said, the effect is looked at, and only then it is accepted."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.models import Posting
from inventory.queries.corrections import postings_of_correction, versions_of
from inventory.queries.postings import posting_list
from inventory.views.access import allows, attempt, granted, page, reads
from products.queries.corrections import stale_after
from workshop.actions.corrections import correct_postings, draft_correction
from workshop.forms.corrections import MOST_POSTINGS, Sheet
from workshop.queries.corrections import effect_of

PER_PAGE, STEPS_SHOWN = 20, 30


@allows("posting.correct")
def correct(request, uuid):
    postings = chosen_postings(request, uuid)
    sheet, effect = Sheet(request.POST or None, postings), None
    asks = request.POST and "add" not in request.POST
    if asks and sheet.is_valid():
        if "accept" in request.POST:
            act = sheet.form.act(request.user)
            if done := attempt(sheet.form, correct_postings, act=act, **sheet.answer()):
                return accepted(request, done)
        effect = attempt(sheet.form, shown_effect, fixes=sheet.fix_list())
    context = {"place": "none", "posting": postings[0], "sheet": sheet, "effect": effect}
    context |= parts_page(request, effect) | {"more": to_add(sheet.form, postings)}
    if not asks:
        sheet.form.errors.clear()
    return page(request, "workshop/corrections/correct.html", context, sheet.form)


def chosen_postings(request, uuid) -> list[Posting]:
    """Return the posting of the address and those that were added to its correction, in that order."""
    named = [
        uuid,
        *map(read_uuid, request.POST.getlist("posting")),
        read_uuid(request.POST.get("add")),
    ]
    keys = list(dict.fromkeys(key for key in named if key))[:MOST_POSTINGS]
    rows = {posting.uuid: posting for posting in posting_list().filter(uuid__in=keys)}
    first = rows.get(uuid) or get_object_or_404(Posting, uuid=uuid)
    return [first, *(rows[key] for key in keys if key in rows and key != uuid)]


def read_uuid(text: str | None) -> UUID | None:
    """Return the UUID that a text is, or None."""
    try:
        return UUID(text or "")
    except ValueError:
        return None


def shown_effect(*, fixes):
    """Return the effect of some fixes, or refuse what would be refused."""
    return effect_of(draft_correction(fixes=fixes))


def to_add(form, postings: list[Posting]) -> Posting | None:
    """Return the posting that a refusal says must be corrected too."""
    facts = [error.params or {} for error in form.errors.as_data().get("__all__", [])]
    keys = [facts["uuid"] for facts in facts if facts.get("uuid")]
    known = {str(posting.uuid) for posting in postings}
    return Posting.objects.filter(uuid__in=[key for key in keys if key not in known]).first()


def parts_page(request, effect) -> dict:
    """Return the page of changed parts that was asked for, and as many steps as one looks at."""
    if effect is None:
        return {}
    parts = Paginator(effect.parts, PER_PAGE).get_page(request.POST.get("page"))
    steps = [step for step in effect.steps if step.lines]
    return {"parts": parts, "steps": steps[:STEPS_SHOWN], "step_count": len(effect.steps)}


def accepted(request, done: Posting):
    """Say that it is written, and lead to what it was."""
    messages.success(request, _("Corrected: %(number)s.") % {"number": done.number})
    return redirect("workshop:correction-detail", done.uuid)


@reads
def detail(request, uuid):
    head = get_object_or_404(posting_list(), uuid=uuid)
    written = postings_of_correction(head)
    stale = stale_after(written)
    context = {
        "place": "none",
        "head": head,
        "undone": [posting for posting in written if posting.reverses_id],
        "anew": [posting for posting in written if not posting.reverses_id],
        "versions": versions_of(head),
        "stale": stale[:PER_PAGE],
        "stale_count": len(stale),
        "can": granted(request.user),
    }
    return page(request, "workshop/corrections/detail.html", context)
