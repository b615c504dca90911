"""Starting a run from a plan: the run is opened, and the plan is kept on it as it was shown."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from products.actions.designs import guard_polymer
from workshop.actions.machines import guard_purge
from workshop.actions.runs import RunPlan, guard_plan, open_run
from workshop.models import Plan
from workshop.queries.plans import PLANNED_OPERATIONS, PlanQuestion, plan_for


@transaction.atomic
def start_planned_run(*, question: PlanQuestion, token: str, act: Act) -> Plan:
    """Open a run for what was planned and keep the plan on it; the token is that of the plan shown.

    Refuses what `guard_question` does, `no-stock` when nothing can be drawn, `does-not-fit`,
    `plan-moved` when stock or experience changed so that another charge or other bins would
    be planned now, `rejected-polymer` on a machine that no purge makes fit, and what `open_run` does.
    A repeated UUID changes nothing.
    """
    request = act.request("start planned run", question=question, token=token)
    if done := earlier(act, request):
        return outcome_of(done, Plan)
    guard_question(question)
    planned = plan_for(question)
    guard_purge(question.machine)
    guard_planned(planned, token)
    run = open_run(plan=run_plan(question), act=act.followed_by("run"))
    plan = Plan.objects.create(
        uuid=act.key,
        run=run,
        charge_mg=planned.charge.charge_mg,
        content=planned.content(),
        made_at=timezone.now(),
        by=act.by,
    )
    record_change(act=act, subject=run.code, request=request, row=plan)
    return plan


def run_plan(question: PlanQuestion) -> RunPlan:
    """Return what the run of a question is to do."""
    return RunPlan(
        operation=question.design.made_by,
        machine=question.machine,
        design=question.design,
        tooling=question.tooling,
        planned_pieces=question.pieces,
    )


def guard_question(question: PlanQuestion) -> None:
    """Refuse `not-planned` operations, a machine or design as a run does, and `wrong-polymer`."""
    design, polymer = question.design, question.polymer
    if design.made_by not in PLANNED_OPERATIONS:
        raise refusal(
            "not-planned",
            _("%(design)s is made of parts; open its run and load them."),
            design=design.name,
        )
    guard_plan(run_plan(question))
    guard_polymer(design, polymer)


def guard_planned(planned, token: str) -> None:
    """Refuse `no-stock`, `does-not-fit` and `plan-moved`."""
    if not planned.draws:
        raise refusal(
            "no-stock", _("No bins give this charge; look at what is missing and plan again.")
        )
    if not planned.fits_in:
        raise refusal(
            "does-not-fit",
            _("One cycle does not go into %(name)s; choose larger tooling or another machine."),
            name=planned.too_small.name,
        )
    if planned.token != token:
        raise refusal(
            "plan-moved",
            _("Stock has changed since this plan was shown; look at the new one and start that."),
        )
