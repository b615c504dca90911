"""Machines, designs and runs."""

import factory

from inventory.models import Mass
from products.models import Design, Part
from tests.factories.inventory import KG, make_act
from workshop.actions.charges import Portion, load_run
from workshop.actions.runs import RunPlan, close_run, open_run
from workshop.actions.yields import Outcome, yield_from_run
from workshop.models import Machine, Run, Tooling

MACHINE_FOR = {
    "granulate": "granulator",
    "blend": "blender",
    "press": "press",
    "inject": "injection",
    "extrude": "extruder",
    "cut": "cutter",
    "form": "forming",
}


class MachineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Machine

    name = factory.Sequence(lambda number: f"Machine {number}")
    kind = "press"


class ToolingFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Tooling

    name = factory.Sequence(lambda number: f"Tool {number}")
    kind = "mould"


class DesignFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Design

    name = factory.Sequence(lambda number: f"Design {number}")
    made_by = "press"
    form = "sheet"
    nominal_mass_mg = 4 * KG


def make_run(by, operation: str = "press", design: Design | None = None, **more) -> Run:
    """Return an open run on a fresh machine of the right kind."""
    machine = more.pop("machine", None) or MachineFactory(kind=MACHINE_FOR[operation])
    if design is None and operation in {"press", "inject", "cut", "form"}:
        form = "sheet" if operation == "press" else "part"
        design = DesignFactory(made_by=operation, form=form)
    plan = RunPlan(operation=operation, machine=machine, design=design, **more)
    return open_run(plan=plan, act=make_act(by))


def load(run, lot, by, mass_mg: int | None = None, **more):
    """Load a lot, all of it or a typed mass."""
    mass = Mass(mass_mg) if mass_mg else None
    portion = Portion(lot, mass, more.pop("pieces", None))
    more = {"is_confirmed": True} | more
    return load_run(run=run, portion=portion, act=make_act(by), **more)


def load_weighed(run, lot, by, mass_mg: int, scale):
    """Load a mass that was read off a scale."""
    portion = Portion(lot, Mass.weighed(mass_mg, scale))
    return load_run(run=run, portion=portion, act=make_act(by), is_confirmed=True)


def weigh_out(run, by, kind: str, mass_mg: int, **more):
    """Weigh out one thing with a typed mass."""
    act = make_act(by, more.pop("reason", ""))
    outcome = Outcome(kind, Mass(mass_mg), more.pop("pieces", 0), more.pop("bin", None))
    more = {"is_confirmed": True} | more
    return yield_from_run(run=run, outcome=outcome, act=act, **more)


def weigh_out_on(scale, run, by, kind: str, mass_mg: int, **more):
    """Weigh out one thing on a scale."""
    act = make_act(by, more.pop("reason", ""))
    mass = Mass.weighed(mass_mg, scale)
    outcome = Outcome(kind, mass, more.pop("pieces", 0), more.pop("bin", None))
    return yield_from_run(run=run, outcome=outcome, act=act, is_confirmed=True)


def make_part(
    by, lot, mass_mg: int, design=None, operation: str = "press", pieces: int = 1
) -> Part:
    """Return a part made of some of a lot in a closed run."""
    run = make_run(by, operation, design)
    load(run, lot, by, mass_mg)
    weigh_out(run, by, "part", mass_mg, pieces=pieces)
    close_run(run=run, act=make_act(by))
    return Part.objects.latest("pk")
