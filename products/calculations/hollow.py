"""Hollow against solid: what a hollow or ribbed section saves, and what stiffness and strength it keeps."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    NO_LOAD,
    Answer,
    Calculator,
    Impossible,
    Input,
    Note,
    Output,
    Source,
    density_input,
    noted,
    polymer_input,
)
from products.calculations.sections import (
    Ribs,
    Section,
    box,
    rectangle,
    ribbed_plate,
    rod,
    tube,
)
from products.calculations.sentences import gettext_noop

MM2_M_TO_KG = 1e-3  # mm2 x m x g/cm3 is g; so many kg
THIN_WALL_SHARE = 0.05
WHOLE = 100
GPA_MM4_TO_N_M2 = 1e-3


@dataclass(frozen=True)
class Comparison:
    """A hollow section beside the solid one of the same outside, shares in per cent."""

    mass_percent: float
    stiffness_percent: float
    strength_percent: float
    saved_percent: float


@dataclass(frozen=True)
class EqualStiffness:
    """The same shape enlarged until it is as stiff as the solid: its factor, and its mass in per cent."""

    factor: float
    mass_percent: float


def compare(hollow: Section, solid: Section) -> Comparison:
    """Return mass, bending stiffness and strength of a hollow section as shares of the solid one.

    Of one material, mass goes with A, stiffness with I, strength in bending with W. A box of
    40 x 40 x 4 has 36 % of the mass and 59 % of the stiffness of the solid.

    >>> found = compare(
    ...     box(width_mm=40, height_mm=40, wall_mm=4), rectangle(width_mm=40, height_mm=40)
    ... )
    >>> round(found.mass_percent, 1), round(found.stiffness_percent, 1)
    (36.0, 59.0)
    """
    mass = WHOLE * hollow.area_mm2 / solid.area_mm2
    return Comparison(
        mass_percent=mass,
        stiffness_percent=WHOLE * hollow.second_moment_mm4 / solid.second_moment_mm4,
        strength_percent=WHOLE * hollow.modulus_mm3 / solid.modulus_mm3,
        saved_percent=WHOLE - mass,
    )


def equally_stiff(found: Comparison, *, keeps_width: bool = False) -> EqualStiffness:
    """Return how much larger the whole hollow section must be to be as stiff as the solid.

    All lengths of it grow by k; I grows by k4 and A by k2, so k = (I_hollow / I_solid)^(-1/4). A square
    box with a wall of a tenth: k 1.1408, mass 46.9 %; so too a tube with a wall of a tenth. A plate
    keeps its width and gets more or fewer ribs: I grows by k3 and A by k, so k = ()^(-1/3).

    >>> found = equally_stiff(Comparison(36, 59.04, 59.04, 64))
    >>> round(found.factor, 4), round(found.mass_percent, 1)
    (1.1408, 46.9)
    """
    growth = 3 if keeps_width else 4
    factor = (found.stiffness_percent / WHOLE) ** (-1 / growth)
    return EqualStiffness(factor, found.mass_percent * factor ** (growth - 2))


def sections_of(shape: str, given: Mapping) -> tuple[Section, Section]:
    """Return the hollow section of a shape and the solid one of the same outside.

    Raises Impossible `wall` or `ribs` for one that leaves no hollow.

    >>> sections_of("box", {"width_mm": 40, "height_mm": 40, "wall_mm": 4})[1].area_mm2
    1600
    """
    width, height, wall = given["width_mm"], given["height_mm"], given["wall_mm"]
    if shape == "tube":
        return tube(diameter_mm=width, wall_mm=wall), rod(diameter_mm=width)
    solid = rectangle(width_mm=width, height_mm=height)
    if shape == "box":
        return box(width_mm=width, height_mm=height, wall_mm=wall), solid
    if wall >= height:
        raise Impossible("plate", "wall_mm")
    ribs = Ribs(given["pitch_mm"], given["rib_mm"], height - wall)
    return ribbed_plate(width_mm=width, plate_mm=wall, ribs=ribs), solid


def _answer(given: Mapping) -> Answer:
    hollow, solid = sections_of(given["shape"], given)
    found = compare(hollow, solid)
    is_plate = given["shape"] == "ribs"
    equal = equally_stiff(found, keeps_width=is_plate)
    grams = given["length_m"] * given["density_g_cm3"] * given["pieces"] * MM2_M_TO_KG
    solid_kg = solid.area_mm2 * grams
    saved_kg = solid_kg * (1 - equal.mass_percent / WHOLE)
    values = vars(found) | {
        "factor": equal.factor,
        "equal_mass_percent": equal.mass_percent,
        "equal_width_mm": given["width_mm"] * (1 if is_plate else equal.factor),
        "equal_wall_mm": given["wall_mm"] * equal.factor,
        "solid_kg": solid_kg,
        "hollow_kg": hollow.area_mm2 * grams,
        "equal_kg": solid_kg - saved_kg,
        "saved_kg": saved_kg,
        "saved_kwh": saved_kg * given["kwh_kg"],
        "saved_money": None if given["price_kg"] is None else saved_kg * given["price_kg"],
        "stiffness_n_m2": hollow.second_moment_mm4 * given["modulus_gpa"] * GPA_MM4_TO_N_M2,
    }
    return Answer(values, _notes(given, saved_kg))


def is_thin(shape: str, given: Mapping) -> bool:
    """Return whether a wall, plate or rib is below a twentieth of its own width (this project's judgement).

    The widest wall buckles first: of a box its longer side, of a tube its diameter, of a plate
    what lies between two ribs; a rib is as wide as it is deep.

    >>> is_thin("box", {"width_mm": 200, "height_mm": 20, "wall_mm": 4})
    True
    """
    width, height, wall = given["width_mm"], given["height_mm"], given["wall_mm"]
    if shape == "ribs":
        rib, pitch = given["rib_mm"], given["pitch_mm"]
        return wall < THIN_WALL_SHARE * (pitch - rib) or rib < THIN_WALL_SHARE * (height - wall)
    return wall < THIN_WALL_SHARE * (width if shape == "tube" else max(width, height))


def _notes(given: Mapping, saved_kg: float) -> tuple[Note, ...]:
    return noted(
        (is_thin(given["shape"], given), "thin", {}),
        (saved_kg <= 0, "no-saving", {}),
        (given["modulus_gpa"] < 1, "creeps", {}),
    )


HOLLOW = Calculator(
    name="hollow",
    title=gettext_noop("Hollow against solid"),
    question=gettext_noop("What does a hollow or ribbed section save, and what does it keep?"),
    steps=("designing",),
    inputs=(
        polymer_input(),
        Input(
            "shape",
            gettext_noop("Shape"),
            default="box",
            kind="choice",
            choices=(
                ("box", gettext_noop("rectangular tube")),
                ("tube", gettext_noop("round tube")),
                ("ribs", gettext_noop("plate with ribs")),
            ),
        ),
        Input("width_mm", gettext_noop("Width or diameter"), "mm", 40, 1, 2000),
        Input("height_mm", gettext_noop("Height over all"), "mm", 40, 1, 2000),
        Input("wall_mm", gettext_noop("Wall, or the plate above the ribs"), "mm", 4, 0.2, 500),
        Input("pitch_mm", gettext_noop("Rib to rib"), "mm", 50, 1, 2000),
        Input("rib_mm", gettext_noop("Thickness of a rib"), "mm", 5, 0.2, 500),
        Input("length_m", gettext_noop("Length"), "m", 1, 0.001, 100),
        Input(
            "pieces", gettext_noop("Pieces"), gettext_noop("pieces"), 1, 1, 100_000, kind="whole"
        ),
        Input(
            "kwh_kg",
            gettext_noop("Energy to make it"),
            "kWh/kg",
            0.7,
            0,
            50,
            basis="judgement",
            help=gettext_noop("Of your own meter: no published figure fits a small shop."),
        ),
        Input(
            "price_kg",
            gettext_noop("Price of the material, your money"),
            gettext_noop("for a kg"),
            None,
            0,
            10_000,
            is_optional=True,
        ),
        density_input(),
        Input(
            "modulus_gpa",
            gettext_noop("Young's modulus"),
            "GPa",
            least=0.001,
            most=50,
            filled_by="youngs-modulus",
        ),
    ),
    outputs=(
        Output(
            "saved_kg",
            gettext_noop("Saved at equal stiffness"),
            "kg",
            3,
            is_main=True,
            rounds="down",
        ),
        Output(
            "equal_mass_percent",
            gettext_noop("Its mass against the solid"),
            "%",
            3,
            is_main=True,
            rounds="up",
        ),
        Output(
            "equal_width_mm", gettext_noop("Width of the equally stiff one"), "mm", 4, rounds="up"
        ),
        Output(
            "equal_wall_mm", gettext_noop("Wall of the equally stiff one"), "mm", 3, rounds="up"
        ),
        Output(
            "factor", gettext_noop("Its lengths grow by"), gettext_noop("times"), 4, rounds="up"
        ),
        Output("saved_kwh", gettext_noop("Energy saved"), "kWh", 3, rounds="down"),
        Output(
            "saved_money",
            gettext_noop("Material saved"),
            gettext_noop("of your money"),
            3,
            rounds="down",
        ),
        Output("solid_kg", gettext_noop("The solid weighs"), "kg", 4),
        Output("hollow_kg", gettext_noop("Hollow, same outside, weighs"), "kg", 4),
        Output("equal_kg", gettext_noop("The equally stiff one weighs"), "kg", 4, rounds="up"),
        Output("mass_percent", gettext_noop("Same outside: mass"), "%", 3),
        Output("stiffness_percent", gettext_noop("Same outside: stiffness"), "%", 3, rounds="down"),
        Output(
            "strength_percent",
            gettext_noop("Same outside: strength in bending"),
            "%",
            3,
            rounds="down",
        ),
        Output("saved_percent", gettext_noop("Same outside: lighter by"), "%", 3, rounds="down"),
        Output(
            "stiffness_n_m2",
            gettext_noop("Bending stiffness, short-term"),
            "N·m²",
            2,
            rounds="down",
        ),
    ),
    answer=_answer,
    formula=(
        "A = B·H − b·h;  I = (B·H³ − b·h³) / 12;  W = 2·I / H",
        "A = π·e·(D − e);  I = π·(D⁴ − d⁴) / 64;  W = 2·I / D",
        "k = (I_hollow / I_solid)^(−1/4);  m_equal = m_hollow · k²",
        "k = (I_ribs / I_solid)^(−1/3);  m_equal = m_ribs · k",
    ),
    symbols=(
        ("A", gettext_noop("area: the mass goes with it"), "mm²"),
        ("I", gettext_noop("second moment: the stiffness in bending goes with it"), "mm⁴"),
        ("W", gettext_noop("section modulus: the strength in bending goes with it"), "mm³"),
        ("k", gettext_noop("how much the hollow one grows to be as stiff"), ""),
    ),
    sources=(
        Source(gettext_noop("Textbook strength of materials"), "exact"),
        Source(
            gettext_noop("Moduli: NETZSCH pages and the International Plastics Handbook"), "memory"
        ),
        Source(gettext_noop("Energy of 0.7 kWh/kg as a placeholder"), "judgement"),
        Source(gettext_noop("A wall below a twentieth of its width counts as thin"), "judgement"),
    ),
    valid=gettext_noop(
        "A comparison of one material in bending, short-term. Under a lasting load plastic creeps: reckon"
        " with a third to a half of the modulus (polyolefins at 1000 h, from memory). Joints, buckling and"
        " knocks are not in it. A plate keeps its width, and its ribs are bent along."
    ),
    notes={
        "wall": gettext_noop("The wall leaves no hollow: it is less than half of the outside."),
        "plate": gettext_noop("The plate is thinner than the whole height."),
        "ribs": gettext_noop("The ribs are thinner than from rib to rib."),
        "thin": gettext_noop(
            "A wall or rib thinner than a twentieth of its own width may buckle before it bends."
        ),
        "no-saving": gettext_noop("At equal stiffness this shape saves nothing."),
        "creeps": gettext_noop("This polymer is soft, and creeps under a lasting load."),
    },
    caution=NO_LOAD,
)
