"""Audit files: a question is answered at a checkpoint, and that is kept."""

from uuid import uuid5

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.refusals import refusal
from inventory.calculations.fingerprints import fingerprint
from inventory.calculations.periods import FIRST_YEAR, LAST_YEAR
from workshop.models import AuditFile
from workshop.queries.audit_questions import Question
from workshop.queries.audit_scopes import MOST_EDGES, Unanswerable
from workshop.queries.audits import content_for, made_words

REFUSALS = {
    "nothing": _("The book holds nothing of that yet; check the name and the days."),
    "too-large": _(
        "The way of that goes over more than %(most)s transfers, more than an audit file follows; "
        "ask about fewer days or a smaller part of it."
    ),
    "moving": _("Something was entered at this very moment; ask once more."),
}


@transaction.atomic
def make_audit_file(*, question: Question, act: Act) -> AuditFile:
    """Answer a question by what the book knows now: make a checkpoint, and keep the answer as of it.

    Refuses `days` for days that are missing or in the wrong order, `nothing` when the book
    holds nothing of it, `too-large` for a longer way than a file follows, `moving` when
    something came in meanwhile, `empty` in an empty book. A repeated UUID changes nothing.
    """
    request = act.request("audit", question=question)
    if done := earlier(act, request):
        return outcome_of(done, AuditFile)
    guard_days(question)
    checkpoint = make_checkpoint(key=uuid5(act.key, "checkpoint"), by=act.by)
    at = timezone.now()
    content = answered(question, checkpoint)
    content["made"] = made_words(by=str(act.by), at=at, reason=act.reason)
    made = AuditFile.objects.create(
        uuid=act.key,
        **question.plain(),
        question=content["question"],
        checkpoint=checkpoint,
        content=content,
        digest=fingerprint(content),
        made_at=at,
        by=act.by,
        role=act.role,
        reason=act.reason,
    )
    record_change(act=act, subject=made.number, request=request, row=made)
    return made


def answered(question: Question, checkpoint) -> dict:
    """Return the answer to a question; a question that has none is refused."""
    try:
        return content_for(question, checkpoint)
    except Unanswerable as error:
        code = error.args[0]
        raise refusal(code, REFUSALS[code], most=MOST_EDGES) from None


def guard_days(question: Question) -> None:
    """Refuse days of no book or in the wrong order, a period without both, and days of a single lot or run."""
    since, until = question.since, question.until
    if any(day and not FIRST_YEAR <= day.year <= LAST_YEAR for day in (since, until)):
        raise refusal("days", _("No book has this day; name one between 1900 and 2199."))
    if since and until and since > until:
        raise refusal("days", _("The first day lies after the last; exchange them."))
    if question.kind == AuditFile.Kind.PERIOD and not (since and until):
        raise refusal("days", _("Say from which day to which, or scan what you ask about."))
    if question.kind in {AuditFile.Kind.LOT, AuditFile.Kind.RUN} and (since or until):
        raise refusal("days", _("A lot or a run is asked about as a whole; leave the days empty."))
