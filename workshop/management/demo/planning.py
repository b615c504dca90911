"""A run that is started from a plan and done nearly as planned, and a setting that the lead chose.

Its ids and its chance are its own where it can, so that the rest of the story stays what it is.
"""

from decimal import Decimal

from inventory.models import Polymer
from workshop.actions.plans import start_planned_run
from workshop.actions.process_sheets import SheetKey, choose_setting
from workshop.management.demo.floor import Floor, design
from workshop.management.demo.making import Job
from workshop.management.demo.shots import press_timed
from workshop.queries.plans import Planned, PlanQuestion, plan_for
from workshop.queries.process_sheets import process_sheet

BOARD, SHEETS = "Board 600 x 600 x 10", 2
CHOSEN = (
    (BOARD, "platen", "194", "flat faces, no yellowed edges"),
    ("Coat hook", "melt", "226", "full hooks without sink marks"),
)


def plan_ahead(floor: Floor) -> None:
    """Press from a plan and choose settings, some hours before the end of the story."""
    press_as_planned(floor)
    choose_settings(floor)


def press_as_planned(floor: Floor) -> None:
    """Plan two boards, start the run from the plan, load the planned bins, press and close."""
    polymer = Polymer.objects.get(symbol="PE-HD")
    machine = floor.machine("press")
    floor.purge_for(machine, polymer)
    machine.refresh_from_db()
    question = PlanQuestion(
        design=design(BOARD),
        pieces=SHEETS,
        machine=machine,
        polymer=polymer,
        tooling=floor.tool_of[BOARD],
    )
    planned = plan_for(question)
    plan = start_planned_run(question=question, token=planned.token, act=floor.act("operator"))
    job, drawn = Job(floor, plan.run), [[draw.lot, draw.mass_mg] for draw in planned.draws]
    for number in range(SHEETS):
        job.left_mg = 0
        load_share(job, drawn, planned, is_last=number == SHEETS - 1)
        press_timed(floor, job.run, number)
        job.side("offcut", job.left_mg // 28)
        job.weigh_out("part", job.left_mg - 1000, pieces=1)
    job.close()


def load_share(job: Job, drawn: list[list], planned: Planned, *, is_last: bool) -> None:
    """Load what one cycle takes out of the planned bins in their order; the last takes all that is left."""
    wanted_mg = planned.charge.cycle_mg
    while drawn and (wanted_mg > 0 or is_last):
        lot, mass_mg = drawn[0]
        lot.refresh_from_db()
        take_mg = mass_mg if is_last else min(mass_mg, wanted_mg)
        job.load(lot, None if take_mg >= lot.held_mg else take_mg)
        wanted_mg -= take_mg
        drawn[0][1] -= take_mg
        if drawn[0][1] <= 0:
            drawn.pop(0)


def choose_settings(floor: Floor) -> None:
    """Let the lead choose a setting on the sheets where most runs worked."""
    for name, setting, value, why in CHOSEN:
        sheet = process_sheet(design(name))
        key = SheetKey(sheet.design, sheet.polymer, sheet.machine)
        act = floor.act("lead", why)
        choose_setting(sheet=key, name=setting, value=Decimal(value), act=act)
