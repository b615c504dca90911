"""One plain line beside an act that can hurt; every one defers to those who know the machine."""

from django.utils.translation import gettext_lazy as _

DEFER = _(
    "The machine's manual, the material's data sheet, local codes and licensed practice come first."
)
TEXTS = {
    "granulator": _(
        "Knives and a nip point behind the hopper; loud and dusty. Guards closed, power isolated"
        " before a hand goes in, ears and eyes covered, dust swept up and kept from any flame."
    ),
    "blender": _("Moving parts inside. Stop it and isolate the power before a hand goes in."),
    "press": _(
        "Hot plates, and force stored behind them: burns and crushing. Keep hands clear while it"
        " moves, let the pressure off before opening, ventilate the fumes."
    ),
    "injection": _(
        "Barrel, nozzle and purgings burn, and hot melt can spit under pressure. Cover face and hands,"
        " ventilate the fumes, never let hot purge pile up."
    ),
    "extruder": _(
        "Barrel, die and purgings burn, and hot melt can spit under pressure. Cover face and hands,"
        " ventilate the fumes, never let hot purge pile up."
    ),
    "cutter": _(
        "A moving blade and flying dust. Guard in place, hands out of the line of the cut,"
        " eyes and ears covered, dust drawn off."
    ),
    "forming": _(
        "Heater and softened sheet burn. Heat-proof gloves, fumes ventilated, never unwatched."
    ),
    "oven": _(
        "Oven and softened sheet burn. Heat-proof gloves, fumes ventilated, never unwatched."
    ),
}


def caution_for(machine) -> dict:
    """Return the caution of a machine, as the caution component prints it."""
    return {"text": TEXTS[machine.kind], "more": DEFER}
