"""Plans of a small workshop: one design of 1 kg, one press, bins of blue PE-HD."""

from decimal import Decimal

from tests.factories.inventory import KG, make_act, polymer
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run, weigh_out
from workshop.actions.meterings import note_meter
from workshop.actions.plans import start_planned_run
from workshop.actions.runs import close_run
from workshop.queries.plans import PlanQuestion, plan_for


def make_question(**changes) -> PlanQuestion:
    """Return a question for three pieces of 1 kg PE-HD on a press."""
    fields = {
        "design": changes.pop("design", None) or DesignFactory(nominal_mass_mg=KG),
        "machine": changes.pop("machine", None) or MachineFactory(),
        "pieces": 3,
        "polymer": polymer("PE-HD"),
    }
    return PlanQuestion(**(fields | changes))


def start(by, question=None, **more):
    """Start a run from what is planned now."""
    question = question or make_question()
    token = more.pop("token", None) or plan_for(question).token
    return start_planned_run(question=question, token=token, act=more.pop("act", make_act(by)))


def metered_run(by, design, lot, kwh, **more):
    """A closed run of a kilogram of parts, with the energy that it used."""
    run = make_run(by, design=design, **more)
    load(run, lot, by, KG)
    weigh_out(run, by, "part", KG, pieces=1)
    note_meter(run=run, what="used", kwh=Decimal(kwh), act=make_act(by))
    return close_run(run=run, act=make_act(by))
