"""The passports of what a run made, issued when it is closed."""

from dataclasses import replace

from django.utils.translation import gettext as _

from inventory.actions.acts import LONGEST_REASON, Act
from products.actions.passports import ProcessFacts, issue_passports
from products.models import Part, Passport
from workshop.models import CODED, Run, Yield
from workshop.queries.runs import STANDING


def issue_run_passports(*, run: Run, act: Act) -> list[Passport]:
    """Issue the passports of a run's parts with how they were made; the caller answers repeats.

    Parts that have one, as when the run was opened again, get a new version that says so.
    """
    making = Yield.objects.filter(charge__run=run, kind__in=CODED, **STANDING)
    parts = Part.objects.filter(made_in__in=making.values("posting"))
    return issue_passports(parts=parts, facts=facts_of(run), act=replace(act, reason=why(act)))


def why(act: Act) -> str:
    """Return the reason of a new version: that the run was closed, and what was said of it."""
    closed = _("Its run was closed.")
    return f"{closed} {act.reason}".strip()[:LONGEST_REASON]


def facts_of(run: Run) -> ProcessFacts:
    """Return how the parts of a run were made, without a person."""
    kind = str(run.machine.get_kind_display())
    return ProcessFacts(run.number, run.operation, kind, run.settings_note)
