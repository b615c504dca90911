"""What a cycle of a plan is held against, as far as the book knows it; and what the tooling has to say."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from inventory.models import Polymer
from inventory.queries.own_figures import own_of
from products.models import Design
from workshop.calculations.plan_fits import (
    Fit,
    barrel_fit,
    cavity_fit,
    force_fit,
    frame_fit,
    mould_fit,
    platen_fit,
    shot_fit,
    takes_fit,
    volume_fit,
)
from workshop.calculations.plans import PART, ChargePlan
from workshop.calculations.sheet_charges import SheetSize
from workshop.calculations.shots import RATED_MELT_C, Densities, State, melt_density_g_cm3
from workshop.models import Machine, Tooling
from workshop.queries.calculators import facts_of

RATED_POLYMER = "PS"  # barrels are rated in it: common practice
UM_PER_MM = 1000


def fits_of(
    machine: Machine,
    tooling: Tooling | None,
    polymer: Polymer,
    charge: ChargePlan,
    cycle_s: float | None = None,
) -> list[Fit]:
    """Return what a cycle is held against, in two queries; `cycle_s` is how long one takes, where known."""
    figures = facts_of(polymer, own_of(polymer)).figures
    known = {name: figure.value for name, figure in figures.items()}
    on = machine_fits(machine, charge, known) + barrel_fits(machine, charge, known, cycle_s)
    return on if tooling is None else tooling_fits(machine, tooling, charge, known) + on


def machine_fits(machine: Machine, charge: ChargePlan, known: dict[str, float]) -> list[Fit]:
    """Return how a cycle goes into a machine; a barrel is rated in a polymer of its own."""
    name, takes_mg, cycle_mg = machine.name, machine.capacity_mg, charge.cycle_mg
    density, rated = known.get("density"), rated_densities()
    if machine.kind != Machine.Kind.INJECTION:
        return takes_fit(name, takes_mg, cycle_mg)
    melts = {"melt_g_cm3": known.get("melt-density"), "solid_g_cm3": density}
    shot = shot_fit(name, machine.shot_mm3, cycle_mg, **melts)
    if not density or not rated:
        return takes_fit(name, takes_mg, cycle_mg) + shot
    solid, melt = rated
    densities = Densities(solid, density, melt, usual_melt=known.get("melt-density"))
    return barrel_fit(name, takes_mg, cycle_mg, densities=densities) + shot


def barrel_fits(
    machine: Machine, charge: ChargePlan, known: dict[str, float], cycle_s: float | None
) -> list[Fit]:
    """Return how a shot is held against the whole barrel of an injection machine."""
    if machine.kind != Machine.Kind.INJECTION:
        return []
    melts = {"melt_g_cm3": known.get("melt-density"), "solid_g_cm3": known.get("density")}
    return volume_fit(machine.name, machine.barrel_mm3, charge.cycle_mg, **melts, cycle_s=cycle_s)


def tooling_fits(
    machine: Machine, tooling: Tooling, charge: ChargePlan, known: dict[str, float]
) -> list[Fit]:
    """Return how a cycle goes into tooling, and that onto its machine."""
    name, inside = tooling.name, inside_of(tooling)
    parts_mg = charge.expected[PART] // charge.cycles
    densest = known.get("density:high")
    shuts_mould = machine.kind == Machine.Kind.INJECTION
    return [
        *takes_fit(name, tooling.capacity_mg, charge.cycle_mg),
        *frame_fit(
            name, inside, parts_mg=parts_mg, cycle_mg=charge.cycle_mg, densest_g_cm3=densest
        ),
        *platen_fit(machine.name, platen_of(machine), sides_of(inside)),
        *cavity_fit(name, tooling.shot_mm3, parts_mg=parts_mg, densest_g_cm3=densest),
        *mould_fit(machine.name, machine.shot_mm3, tooling.shot_mm3),
        *force_fit(machine.name, machine.force_kn, tooling.projected_cm2, shuts_mould=shuts_mould),
    ]


def inside_of(tooling: Tooling) -> SheetSize | None:
    """Return the inside of a frame in mm, its depth as the thickness; None where nobody said it."""
    if tooling.frame_length_um is None:
        return None
    sides = (tooling.frame_length_um, tooling.frame_width_um, tooling.frame_depth_um)
    return SheetSize(*(um / UM_PER_MM for um in sides))


def sides_of(inside: SheetSize | None) -> tuple[float, float] | None:
    """Return the length and width of a frame in mm."""
    return (inside.length_mm, inside.width_mm) if inside else None


def platen_of(machine: Machine) -> tuple[int, int] | None:
    """Return the length and width of a platen in mm; None where nobody said it."""
    if machine.platen_length_mm is None:
        return None
    return machine.platen_length_mm, machine.platen_width_mm


def rated_densities() -> tuple[float, float | None] | None:
    """Return the densities in g/cm3 of the polymer in which barrels are rated, solid and melt; None without it."""
    rated = Polymer.objects.filter(symbol=RATED_POLYMER, density_typical__isnull=False).first()
    if rated is None:
        return None
    fit = rated.properties.get("spencer-gilmore")
    melt = melt_density_g_cm3(State(*fit[:3]), melt_c=RATED_MELT_C) if fit else None
    return float(rated.density_typical), melt


def tooling_says(tooling: Tooling | None, design: Design | None, today: date) -> list[str]:
    """Return what is to be known of tooling before it is used, in sentences; in two queries."""
    if tooling is None:
        return []
    facts = {"tooling": tooling.name, "design": design.name if design else ""}
    said = []
    if tooling.condition == Tooling.Condition.MEND:
        said.append(_("%(tooling)s is to be mended before use.") % facts)
    meant = tooling.designs.values_list("pk", flat=True)
    if design and meant and design.pk not in meant:
        said.append(_("%(tooling)s is meant for other designs than %(design)s.") % facts)
    if tooling.upkeep_on and tooling.upkeep_on < today:
        facts |= {"on": date_format(tooling.upkeep_on, "SHORT_DATE_FORMAT")}
        facts |= {"upkeep": f" ({tooling.upkeep})" if tooling.upkeep else ""}
        said.append(_("Upkeep of %(tooling)s is due since %(on)s%(upkeep)s.") % facts)
    return said
