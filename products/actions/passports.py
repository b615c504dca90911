"""Passports are issued and issued anew; what was issued is never changed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from inventory.calculations.fingerprints import plain, stored_fingerprint
from products.models import Part, Passport
from products.queries.fixings import stated_holdings
from products.queries.passport_contents import part_content, run_of, shared_content
from products.queries.passports import last_posting, make_ups_of_parts, newest_passports


@dataclass(frozen=True)
class ProcessFacts:
    """How a part was made, frozen: the run's number, what it did on which kind of machine; no person."""

    run_number: str
    operation: str
    machine_kind: str
    settings_note: str = ""

    def plain(self) -> dict:
        """Return what a passport keeps of it; the settings are never public."""
        return {
            "run": self.run_number,
            "operation": str(self.operation),
            "machine": str(self.machine_kind),
            "settings": self.settings_note,
        }


@transaction.atomic
def issue_passport(*, part: Part, act: Act, facts: ProcessFacts | None = None) -> Passport:
    """Issue a part's passport, or a new version of it that says why; older versions stay.

    Without facts the newest version's are kept. Refuses `not-made` when the making of the
    part was reversed, and `reason` for a new version without one. A repeated UUID changes nothing.
    """
    request = act.request("issue passport", part=part, facts=facts)
    if done := earlier(act, request):
        return outcome_of(done, Passport)
    (part,) = locked_parts([part]) or [None]
    if part is None:
        raise refusal(
            "not-made", _("The making of this part was reversed; there is nothing to issue.")
        )
    newest = newest_passports([part])
    if newest:
        need_reason(act)
    (passport,) = written([part], facts, newest, [act])
    record_change(act=act, subject=part.code, request=request, row=passport)
    return passport


def issue_passports(*, parts: Iterable[Part], facts: ProcessFacts, act: Act) -> list[Passport]:
    """Issue the passports of parts that were made together, as a part of another act.

    The caller is in a transaction and answers repeats. Each passport's UUID follows from the
    act's and the part's code. A new version says the act's reason.
    """
    found = locked_parts(parts)
    acts = [act.followed_by(part.code) for part in found]
    return written(found, facts, newest_passports(found), acts) if found else []


def locked_parts(parts: Iterable[Part]) -> list[Part]:
    """Return fresh rows of parts that were made, locked in primary-key order."""
    keys = [part.pk for part in parts]
    rows = Part.objects.made().filter(pk__in=keys).order_by("pk")
    shared = ("design", "lot__colour", "made_in")  # few among many parts, so fetched apart
    return list(
        rows.select_related("lot").prefetch_related(*shared).select_for_update(of=("self",))
    )


def written(
    parts: list[Part],
    facts: ProcessFacts | None,
    newest: dict[int, Passport],
    acts: list[Act],
) -> list[Passport]:
    """Write the next version of each part's passport."""
    now = timezone.now()
    contents, holdings = contents_of(parts, now), stated_holdings(parts)
    rows = []
    for part, act in zip(parts, acts, strict=True):
        before = newest.get(part.pk)
        version = before.version + 1 if before else 1
        run = facts.plain() if facts else run_known(part, before)
        own = part_content(part, run, holdings.get(part.pk, ()))
        content = contents[part.pk] | own | {"version": version}
        rows.append(row_of(part, act, version, content, now))
    return Passport.objects.bulk_create(rows)


def run_known(part: Part, before: Passport | None) -> dict:
    """Return how a part was made by its passport before, or by that of the bag which gave it."""
    before = before or (newest_passports([part.bag]).get(part.bag_id) if part.bag_id else None)
    return before.content["run"] if before else run_of(part)


def row_of(part: Part, act: Act, version: int, content: dict, now: datetime) -> Passport:
    """Return an unsaved version of a passport; its content is plain already."""
    return Passport(
        uuid=act.key,
        part=part,
        version=version,
        issued_at=now,
        issued_by=act.by,
        reason=act.reason if version > 1 else "",
        content=content,
        digest=stored_fingerprint(content),
    )


def contents_of(parts: list[Part], now: datetime) -> dict[int, dict]:
    """Return what each passport shares with those of one make-up and design, by the part's key."""
    make_ups, position, known = make_ups_of_parts(parts), last_posting(), {}
    found = {}
    for part in parts:
        make_up = make_ups[part.pk]
        alike = (id(make_up), part.design_id)
        if alike not in known:
            known[alike] = plain(shared_content(make_up, part.design, position, now))
        found[part.pk] = known[alike]
    return found
