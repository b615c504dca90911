"""One plain line beside an act that can hurt; every one defers to those who know the machine."""

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.models import Polymer
from inventory.queries.material_sheets import needs_drying
from inventory.views.access import page, reads
from workshop.calculations.operations import HEATED
from workshop.queries.purges import PurgeNeed
from workshop.queries.readings import fume_ceiling

DEFER = _(
    "The machine's manual, the material's data sheet, local codes and licensed practice come first."
)
DEFER_TO_SHEET = _("The supplier's data sheet and the rules of your place come first.")
TEXTS = {
    "granulator": _(
        "Knives and a nip point behind the hopper; loud and dusty. Guards closed, power isolated"
        " before a hand goes in, ears and eyes covered, dust swept up and kept from any flame."
        " Whether the dust can explode is for a competent person to say. PVC or POM among it: stop, take it"
        " out, never grind it."
    ),
    "blender": _("Moving parts inside. Stop it and isolate the power before a hand goes in."),
    "press": _(
        "Hot plates and moulds, and force stored behind them: burns and crushing. Keep hands clear while it"
        " moves, let the pressure off before opening, ventilate the fumes."
    ),
    "injection": _(
        "Barrel, nozzle, mould and purgings burn, a closing mould crushes, and hot melt can spit under"
        " pressure. Cover face and hands, let the pressure off before opening, ventilate the fumes,"
        " never let hot purge pile up."
    ),
    "extruder": _(
        "Barrel, die and purgings burn, and hot melt can spit under pressure. Cover face and hands,"
        " let the pressure off before the die is opened, ventilate the fumes, never let hot purge pile up."
    ),
    "cutter": _(
        "A moving blade and flying dust. Guard in place, hands out of the line of the cut,"
        " eyes and ears covered, dust drawn off and kept from any flame. Whether it can explode is for a"
        " competent person to say."
    ),
    "forming": _(
        "Heater and softened sheet burn. Heat-proof gloves, fumes ventilated, never unwatched."
    ),
    "oven": _(
        "Oven, mould and softened sheet burn. Heat-proof gloves, fumes ventilated, never unwatched."
    ),
}


SECTIONS = {
    "granulator": "dust",
    "blender": "changing",
    "press": "stored-energy",
    "injection": "stored-energy",
    "extruder": "heat",
    "cutter": "dust",
    "forming": "heat",
    "oven": "heat",
}


@reads
def index(request):
    return page(request, "workshop/cautions/index.html", {"place": "none"})


def caution_for(machine) -> dict:
    """Return the caution of a machine with the way to the fuller text, as the caution component prints it."""
    return caution_of(machine.kind)


def caution_of(kind: str) -> dict:
    """Return the caution of a kind of machine."""
    href = f"{reverse('workshop:caution-list')}#{SECTIONS[kind]}"
    return {"text": TEXTS[kind], "more": DEFER, "href": href, "link": gettext("Cautions in full")}


def sheet_of(polymer: Polymer) -> str:
    """Return how a link to a polymer's sheet is written."""
    return gettext("Sheet of %(symbol)s") % {"symbol": polymer.symbol}


def sheet_caution(machine, polymer: Polymer | None) -> dict | None:
    """Return what a polymer asks for beside an act on a machine that heats: below its fumes, and dried first."""
    if polymer is None or machine.kind not in HEATED:
        return None
    lines = [fume_line(polymer)]
    if needs_drying(polymer):
        dry = gettext("Dry it first: wet, it foams and breaks its chains when it melts.")
        lines.append(dry)
    return {"text": " ".join(lines), "more": DEFER_TO_SHEET} | sheet_link(polymer)


def purge_caution(need: PurgeNeed | None, *, may_purge: bool, back: str) -> dict | None:
    """Return that a machine has to be purged first, with the way to write it down, or to why; else nothing.

    `back` is the address to come back to once it is written down.
    """
    if need is None:
        return None
    caution = {"text": need.said, "more": need.remains_said}
    if may_purge and need.is_possible:
        way = reverse("workshop:machine-purge", args=[need.machine.pk])
        href = f"{way}?{urlencode({'next': back})}"
        return caution | {"href": href, "link": gettext("Purge it and write the purge down")}
    href = f"{reverse('workshop:caution-list')}#changing"
    return caution | {"href": href, "link": gettext("Changing the polymer")}


def reject_caution(polymer: Polymer | None) -> dict | None:
    """Return why a polymer that is refused here is refused, with the way to its sheet; else nothing."""
    if polymer is None or not polymer.is_rejected:
        return None
    text = gettext("Never grind or heat %(symbol)s. %(why)s")
    facts = {"symbol": polymer.symbol, "why": polymer.reject_reason}
    return {"text": text % facts, "more": DEFER_TO_SHEET} | sheet_link(polymer)


def sheet_link(polymer: Polymer) -> dict:
    """Return the link to a polymer's sheet, as the caution component prints it."""
    return {"href": polymer.get_absolute_url(), "link": sheet_of(polymer)}


def fume_line(polymer: Polymer) -> str:
    """Return above what a polymer gives off fumes, in a sentence."""
    ceiling = fume_ceiling(polymer)
    if ceiling.c is None:
        return gettext(
            "Nobody knows here from where %(symbol)s gives off fumes: keep it low, ventilate."
        ) % {"symbol": polymer.symbol}
    own = f" ({ceiling.source})" if ceiling.source else ""
    facts = {"symbol": polymer.symbol, "ceiling": ceiling.c, "own": own}
    return (
        gettext(
            "Keep %(symbol)s below %(ceiling)s °C%(own)s, and ventilate: above it gives off fumes."
        )
        % facts
    )
