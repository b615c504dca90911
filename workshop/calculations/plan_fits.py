"""Whether one cycle goes in: into the tooling, onto the machine, and with the force that it has.

What was typed as taken at once, and lengths, are facts: they refuse a plan. What rests on a density or on
a usual pressure is an estimate: it warns and refuses nothing. Masses are mg, volumes mm3.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from workshop.calculations.forces import Press, force
from workshop.calculations.residences import stay_in_volume
from workshop.calculations.sheet_charges import SheetSize, sheet_charge
from workshop.calculations.shots import (
    Capacity,
    Densities,
    capacity,
    capacity_of_volume,
    shot_volume_cm3,
)

MG_PER_G, MM3_PER_CM3, MG_PER_KG = 1000, 1000, 1_000_000
# Pressures that forces are reckoned with: this project's judgement, within the published bands of `forces`.
SHEET_MPA, MOULD_MPA = 1, 40
DOUBTS = frozenset({"above-all", "below", "long-stay"})
DOUBT = 1.25  # no density is so far off, nor any mould packed so full: this project's judgement
FLAKE_G_CM3 = 0.4  # loose flake; from memory, International Plastics Handbook
WHOLE = 100
SLACK = 1.02  # no estimate is known better than to 2 %: this project's judgement


@dataclass(frozen=True)
class Fit:
    """One figure that a cycle is held against: what limits, what it takes and what is asked, in one unit.

    `code` is `takes` for what a frame, mould or machine takes at once, `barrel` for the barrel, where
    `takes` is in the polymer of the plan, `frame`, `shot` and `volume` (all of a barrel) for volumes,
    `mould` for the mould's shot in the machine's, `cavity` for the parts of a cycle in the mould's
    shot, `platen` for the side of a frame that lies tightest, and `force`. `notes` are codes:
    `above-all`, `below`, `deep`, `long-stay`; with `depth_mm` for how high loose flake lies. Of a
    volume, `melt_mg` and `solid_mg` are what fills it by melt and by solid density; of a barrel's
    (`volume`), `stay_s` is how long melt stays in it.
    """

    code: str
    name: str
    takes: float
    asked: float
    notes: tuple[str, ...] = ()
    unit: str = "mg"
    is_estimate: bool = False
    depth_mm: float | None = None
    melt_mg: float | None = None
    solid_mg: float | None = None
    stay_s: float | None = None

    @property
    def fits(self) -> bool:
        """Whether it goes in; an estimate has two per cent to spare."""
        return self.asked <= self.takes * (SLACK if self.is_estimate else 1)

    @property
    def has_doubt(self) -> bool:
        """Whether it goes in, but not as is usual."""
        return not DOUBTS.isdisjoint(self.notes)

    @property
    def use(self) -> float:
        """How much of it one cycle takes, as a share."""
        return self.asked / self.takes

    @property
    def takes_mg(self) -> int | None:
        """What it takes, where that is a mass."""
        return self.takes if self.unit == "mg" else None

    @property
    def asked_mg(self) -> int | None:
        """What is asked, where that is a mass."""
        return self.asked if self.unit == "mg" else None


def takes_fit(name: str, takes_mg: int | None, cycle_mg: int) -> list[Fit]:
    """Return how a cycle is held against what a thing takes at once; nothing where that is not known."""
    return [Fit("takes", name, takes_mg, cycle_mg)] if takes_mg else []


def barrel_fit(
    name: str, takes_mg: int | None, cycle_mg: int, *, densities: Densities
) -> list[Fit]:
    """Return how a shot fits a barrel that is rated in another polymer: by melt densities, or by solid ones.

    The sum is that of `shots.capacity`; a shot below 20 or above 75 per cent of it is noted. By melt it
    is an estimate, for a semi-crystalline melt is lighter than its solid says; more than the solid
    densities allow, as the trade reckons, no melt explains.

    >>> (fit,) = barrel_fit("B", 226_800, 60_000, densities=Densities(1.05, 0.905))
    >>> fit.takes_mg, fit.fits
    (195480, True)
    >>> (fit,) = barrel_fit("B", 226_800, 185_000, densities=Densities(1.05, 0.905, 0.968, None, 0.739))
    >>> fit.takes_mg, fit.fits, fit.is_estimate
    (173146, False, True)
    """
    if not takes_mg:
        return []
    found = capacity(rated_g=takes_mg / MG_PER_G, densities=densities, shot_g=cycle_mg / MG_PER_G)
    least_mg, solid_mg = (round(g * MG_PER_G) for g in (found.least_g, found.by_solid_g))
    has_melt = found.by_melt_g is not None or found.by_usual_g is not None
    return [
        Fit(
            "barrel",
            name,
            least_mg,
            cycle_mg,
            usage_notes(found),
            is_estimate=has_melt and cycle_mg <= solid_mg,
            melt_mg=least_mg if has_melt else None,
            solid_mg=solid_mg if has_melt else None,
        )
    ]


def usage_notes(found: Capacity) -> tuple[str, ...]:
    """Return `below` or `above-all` of a use; what is more than all is above all that is usual too."""
    codes = {"too-much": "above-all", "above-all": "above-all", "below": "below"}
    return tuple(codes[note.code] for note in found.notes if note.code in codes)


def frame_fit(
    name: str,
    inside: SheetSize | None,
    *,
    parts_mg: int,
    cycle_mg: int,
    densest_g_cm3: float | None,
) -> list[Fit]:
    """Return how the parts of a cycle fill a frame at their polymer's highest density; flash flows out of it.

    The height of the loose charge is that of `sheet_charges.sheet_charge`; higher than the frame is
    deep it is noted.

    >>> inside = SheetSize(600, 600, 10)
    >>> (fit,) = frame_fit("F", inside, parts_mg=3_438_000, cycle_mg=3_600_000, densest_g_cm3=0.965)
    >>> round(fit.use, 3), round(fit.depth_mm, 1), fit.notes
    (0.99, 25.0, ('deep',))
    """
    if inside is None or not densest_g_cm3:
        return []
    area_mm2 = inside.length_mm * inside.width_mm
    asked_mm3 = parts_mg / densest_g_cm3  # 1 g/cm3 is 1 mg/mm3
    made = SheetSize(inside.length_mm, inside.width_mm, asked_mm3 / area_mm2)
    charge = sheet_charge(
        made,
        density_g_cm3=densest_g_cm3,
        allowance_percent=WHOLE * (cycle_mg / parts_mg - 1),
        bulk_g_cm3=FLAKE_G_CM3,
    )
    is_deep = charge.fill_depth_mm > inside.thickness_mm
    return [
        Fit(
            "frame",
            name,
            area_mm2 * inside.thickness_mm,
            asked_mm3,
            ("deep",) if is_deep else (),
            "mm3",
            is_estimate=True,
            depth_mm=charge.fill_depth_mm,
        )
    ]


def platen_fit(name: str, platen_mm: tuple | None, frame_mm: tuple | None) -> list[Fit]:
    """Return whether the inside of a frame lies on a platen, turned as it fits better; its walls come on top.

    >>> (fit,) = platen_fit("P", (700, 500), (480, 650))
    >>> fit.takes, fit.asked
    (500, 480)
    """
    if platen_mm is None or frame_mm is None:
        return []
    turned = [tuple(zip(platen_mm, sides, strict=True)) for sides in (frame_mm, frame_mm[::-1])]
    best = min(turned, key=lambda pairs: max(asked / takes for takes, asked in pairs))
    takes, asked = max(best, key=lambda pair: pair[1] / pair[0])
    return [Fit("platen", name, takes, asked, unit="mm")]


def force_fit(
    name: str, most_kn: int | None, area_cm2: float | None, *, shuts_mould: bool
) -> list[Fit]:
    """Return the force that a usual pressure over the projected area asks for, against what a machine gives.

    >>> (fit,) = force_fit("P", 400, 3600, shuts_mould=False)
    >>> fit.asked, fit.fits
    (360.0, True)
    """
    if not most_kn or not area_cm2:
        return []
    pressure = MOULD_MPA if shuts_mould else SHEET_MPA
    found = force(
        area_cm2=area_cm2, pressure_mpa=pressure, press=Press(most_kn, shuts_mould=shuts_mould)
    )
    return [Fit("force", name, most_kn, found.force_kn, unit="kN", is_estimate=True)]


def shot_fit(
    name: str,
    most_mm3: int | None,
    cycle_mg: int,
    *,
    melt_g_cm3: float | None,
    solid_g_cm3: float | None = None,
) -> list[Fit]:
    """Return the volume of a shot as melt against what a machine injects at most.

    A shot below 20 or above 75 per cent of it is noted, as by `shots.capacity_of_volume`.

    >>> (fit,) = shot_fit("M", 100_000, 73_900, melt_g_cm3=0.739)
    >>> round(fit.asked), fit.fits
    (100000, True)
    """
    if not most_mm3 or not melt_g_cm3:
        return []
    use = capacity_of_volume(
        volume_cm3=most_mm3 / MM3_PER_CM3,
        densities=Densities(0, solid_g_cm3 or 0, usual_melt=melt_g_cm3),
        shot_g=cycle_mg / MG_PER_G,
    )
    return [
        Fit(
            "shot",
            name,
            most_mm3,
            melt_mm3(cycle_mg, melt_g_cm3),
            usage_notes(use),
            "mm3",
            is_estimate=True,
            melt_mg=most_mm3 * melt_g_cm3,  # 1 g/cm3 is 1 mg/mm3
            solid_mg=most_mm3 * solid_g_cm3 if solid_g_cm3 else None,
        )
    ]


def melt_mm3(mass_mg: int, melt_g_cm3: float) -> int:
    """Return the volume of a mass as melt, in whole mm3."""
    volume_cm3 = shot_volume_cm3(shot_g=mass_mg / MG_PER_G, density_g_cm3=melt_g_cm3)
    return round(volume_cm3 * MM3_PER_CM3)


def volume_fit(
    name: str,
    barrel_mm3: int | None,
    cycle_mg: int,
    *,
    melt_g_cm3: float | None,
    solid_g_cm3: float | None = None,
    cycle_s: float | None = None,
) -> list[Fit]:
    """Return a shot as melt against all that a barrel holds, and how long melt stays in it at a cycle time.

    >>> (fit,) = volume_fit("M", 200_000, 74_000, melt_g_cm3=0.74, cycle_s=60)
    >>> fit.asked, fit.melt_mg, fit.stay_s, fit.notes
    (100000, 148000.0, 120.0, ())
    """
    if not barrel_mm3 or not melt_g_cm3:
        return []
    melt_mg = barrel_mm3 * melt_g_cm3
    masses = {"melt_g": melt_mg / MG_PER_G, "shot_g": cycle_mg / MG_PER_G}
    found = stay_in_volume(**masses, cycle_s=cycle_s) if cycle_s else None
    codes = [note.code for note in found.notes] if found else []
    return [
        Fit(
            "volume",
            name,
            barrel_mm3,
            melt_mm3(cycle_mg, melt_g_cm3),
            ("long-stay",) if "long-stay" in codes else (),
            "mm3",
            is_estimate=True,
            melt_mg=melt_mg,
            solid_mg=barrel_mm3 * solid_g_cm3 if solid_g_cm3 else None,
            stay_s=found.seconds if found else None,
        )
    ]


def mould_fit(name: str, most_mm3: int | None, mould_mm3: int | None) -> list[Fit]:
    """Return the shot volume of a mould against what a machine injects at most."""
    if not most_mm3 or not mould_mm3:
        return []
    return [Fit("mould", name, most_mm3, mould_mm3, unit="mm3")]


def cavity_fit(
    name: str, mould_mm3: int | None, *, parts_mg: int, densest_g_cm3: float | None
) -> list[Fit]:
    """Return how the parts of a cycle, at their polymer's highest density, go into what a mould takes at a shot.

    A little too much is an estimate, for it rests on a density; a quarter too much no density explains.

    >>> (fit,) = cavity_fit("M", 100_000, parts_mg=331_000, densest_g_cm3=0.91)
    >>> round(fit.asked), fit.fits, fit.is_estimate
    (363736, False, False)
    """
    if not mould_mm3 or not densest_g_cm3:
        return []
    asked_mm3 = parts_mg / densest_g_cm3  # 1 g/cm3 is 1 mg/mm3
    is_estimate = asked_mm3 <= mould_mm3 * DOUBT
    return [Fit("cavity", name, mould_mm3, asked_mm3, unit="mm3", is_estimate=is_estimate)]


def verdict(fits: Iterable[Fit]) -> str:
    """Return the worst that is to be said of all fits: `no`, `may-not`, `doubt`, `fits`; `unknown` of none.

    >>> verdict([]), verdict(takes_fit("F", 2, 1)), verdict(takes_fit("F", 2, 1) + takes_fit("M", 2, 3))
    ('unknown', 'fits', 'no')
    """
    fits = list(fits)
    found = {
        "no": any(not fit.fits and not fit.is_estimate for fit in fits),
        "may-not": any(not fit.fits for fit in fits),
        "doubt": any(fit.has_doubt for fit in fits),
        "fits": bool(fits),
    }
    return next((code for code, is_so in found.items() if is_so), "unknown")


def tightest(fits: Iterable[Fit]) -> Fit | None:
    """Return the figure that limits: of which a cycle takes the largest share."""
    return max(fits, key=lambda fit: fit.use, default=None)
