"""A mistake that is found weeks later: the lead corrects a load through all that came after it."""

from django.core.exceptions import ValidationError

from inventory.models import Mass
from inventory.queries.corrections import movement_of
from inventory.queries.drafts import Fix
from workshop.actions.corrections import correct_postings, draft_correction
from workshop.management.demo.floor import Floor
from workshop.models import Load
from workshop.queries.corrections import effect_of
from workshop.queries.runs import STANDING

FAR_BACK, TARE_MG = 25, 320_000
WHY = "the tare of the bucket was taken off twice"


def correct_a_load(floor: Floor) -> None:
    """The bucket's tare was taken off twice: a load was more than was booked; its passports are stale since."""
    loads = Load.objects.filter(**STANDING, charge__run__operation="press").order_by("-pk")
    for load in loads[FAR_BACK : FAR_BACK + 40]:
        movement = movement_of(load.posting)
        if movement is None or movement.source.kind == "part":
            continue
        fixes = [Fix(load.posting, mass=Mass(movement.mass_mg + TARE_MG))]
        try:
            effect = effect_of(draft_correction(fixes=fixes))
        except ValidationError:
            continue
        if effect.parts:
            act = floor.act("lead", WHY)
            loss = "swept off the press bed"
            correct_postings(fixes=fixes, act=act, shown=effect.token, loss=loss)
            return
