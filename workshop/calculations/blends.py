"""The density of a blend by its parts."""

from collections.abc import Mapping, Sequence
from itertools import permutations

from inventory.calculations.compatibilities import compatibility
from products.calculations.calculators import (
    Answer,
    Calculator,
    Impossible,
    Input,
    Note,
    Output,
    Source,
    noted,
    polymer_input,
)
from products.calculations.sentences import gettext_noop

PARTS = (1, 2, 3)
WHOLE = 100


def blend_density_g_cm3(parts: Sequence[tuple[float, float]]) -> float:
    """Return the density in g/cm3 of parts given as mass and density: 1/rho = sum of w_i / rho_i.

    Volumes add: no voids and no contraction. 70 % at 0.955 with 30 % at 0.920 is 0.9442; the average of
    the densities, 0.9445, is wrong, and more so with fillers.

    >>> round(blend_density_g_cm3([(70, 0.955), (30, 0.920)]), 4)
    0.9442
    """
    mass = sum(each for each, _density in parts)
    return mass / sum(each / density for each, density in parts)


def _answer(given: Mapping) -> Answer:
    parts = []
    for n in PARTS:
        mass, density = given[f"mass_{n}_kg"], given[f"density_{n}_g_cm3"]
        if not mass:
            continue
        if density is None:
            raise Impossible("no-density", f"density_{n}_g_cm3")
        parts.append((mass, density))
    if not parts:
        raise Impossible("nothing", "mass_1_kg")
    total = sum(mass for mass, _density in parts)
    density = blend_density_g_cm3(parts)
    values = {
        "g_cm3": density,
        "total_kg": total,
        "volume_l": total / density,
        "average_g_cm3": sum(mass * each for mass, each in parts) / total,
    }
    shares = {f"share_{n}_percent": WHOLE * (given[f"mass_{n}_kg"] or 0) / total for n in PARTS}
    symbols = {given[f"polymer_{n}"] for n in PARTS if given[f"mass_{n}_kg"]} - {"", None}
    return Answer(values | shares, _notes(symbols))


def _notes(symbols: set) -> tuple[Note, ...]:
    """Harmful pairs are named, whichever of them is the main one; of others it is said that most do not mix."""
    pairs = permutations(sorted(symbols), 2)
    harm = next((pair for pair in pairs if compatibility(*pair) == "never"), None)
    facts = {"main": harm[0], "added": harm[1]} if harm else {}
    return noted(
        (harm is not None, "never", facts),
        (harm is None and len(symbols) > 1, "mixes", {}),
    )


def _boxes(n: int, symbol: str, mass: float | None, labels: tuple[str, str]) -> tuple[Input, ...]:
    label, of_it = labels
    return (
        polymer_input(f"polymer_{n}", symbol, label),
        Input(
            f"mass_{n}_kg",
            of_it,
            "kg",
            mass,
            0,
            100_000,
            is_optional=True,
        ),
    )


def _density_box(n: int, label: str) -> Input:
    return Input(
        f"density_{n}_g_cm3",
        label,
        "g/cm³",
        least=0.005,
        most=20,
        filled_by="density",
        polymer=f"polymer_{n}",
        is_optional=True,
    )


BLEND = Calculator(
    name="blend",
    title=gettext_noop("Density of a blend"),
    question=gettext_noop("What density has a mixture of these?"),
    steps=("weighing",),
    inputs=(
        *_boxes(1, "PE-HD", 70, (gettext_noop("First part"), gettext_noop("Mass of the first"))),
        *_boxes(2, "PE-LD", 30, (gettext_noop("Second part"), gettext_noop("Mass of the second"))),
        *_boxes(3, "", None, (gettext_noop("Third part"), gettext_noop("Mass of the third"))),
        _density_box(1, gettext_noop("Density of the first")),
        _density_box(2, gettext_noop("Density of the second")),
        _density_box(3, gettext_noop("Density of the third")),
    ),
    outputs=(
        Output("g_cm3", gettext_noop("Density of the blend"), "g/cm³", 4, is_main=True),
        Output("total_kg", gettext_noop("All of it"), "kg", 4),
        Output("volume_l", gettext_noop("Its solid volume"), "l", 4),
        Output("share_1_percent", gettext_noop("Share of the first"), "%", 3),
        Output("share_2_percent", gettext_noop("Share of the second"), "%", 3),
        Output("share_3_percent", gettext_noop("Share of the third"), "%", 3),
        Output("average_g_cm3", gettext_noop("The plain average, which is wrong"), "g/cm³", 4),
    ),
    answer=_answer,
    formula=("1/ρ = Σ w_i / ρ_i",),
    symbols=(
        ("w_i", gettext_noop("share by mass of a part"), ""),
        ("ρ_i", gettext_noop("its density"), "g/cm³"),
    ),
    sources=(Source(gettext_noop("Volumes of the parts add"), "exact"),),
    valid=gettext_noop(
        "Without voids. Whether polymers may be mixed at all is another question: here a lead switches blends on."
    ),
    notes={
        "no-density": gettext_noop(
            "Type its density: no polymer is chosen, or nothing is known of it."
        ),
        "nothing": gettext_noop("Enter the mass of one part at least."),
        "never": gettext_noop(
            "%(main)s and %(added)s must never meet in a grinder, dryer or hot machine: a little does harm."
        ),
        "mixes": gettext_noop(
            "Different polymers: most do not mix, and a blend needs to be allowed here before it is made."
        ),
    },
)
