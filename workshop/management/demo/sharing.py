"""A design that came from another workshop with its process sheet, and a cut run opened for sheets in stock."""

from inventory.models import Form
from products.actions.design_files import bring_design
from products.models import Part
from products.queries.spoken_sheets import all_spoken_for, claims
from workshop.actions.runs import RunPlan, open_run
from workshop.management.demo.floor import Floor, design
from workshop.management.demo.making import CUTS

WHAT = "Shelf board"


def share_and_set_aside(floor: Floor) -> None:
    """Bring the design in, and open the run for two boards where so many are there."""
    bring_design(document=floor.plan["brought"], act=floor.act("lead"))
    boards = [name for name, (made, _pieces) in CUTS.items() if made == WHAT]
    here = Part.objects.here().filter(
        design__name__in=boards, design__form=Form.SHEET, lot__out_mg=0
    )
    fitting = here.filter(lot__polymer__in=design(WHAT).polymers.all(), lot__holds=None)
    free = fitting.exclude(pk__in=all_spoken_for(claims())).select_related("design", "lot")
    sheets = tuple((part, 1) for part in free.order_by("pk")[:2])
    plan = RunPlan(
        operation="cut", machine=floor.machine("cutter"), design=design(WHAT), sheets=sheets
    )
    open_run(plan=plan, act=floor.act(floor.operator()))
