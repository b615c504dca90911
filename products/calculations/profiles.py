"""What an extruded profile weighs by the metre, what a line gives in an hour, and strand wound round a form."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, hypot, pi

from products.calculations.calculators import (
    BARREL,
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
from products.calculations.sections import box, parse_points, polygon_area_mm2, rectangle, rod, tube
from products.calculations.sentences import gettext_noop

G_PER_KG, MM_PER_M = 1000, 1000
MIN_PER_H = 60
SHAPES = (
    ("square", gettext_noop("square, solid")),
    ("round", gettext_noop("round, solid")),
    ("flat", gettext_noop("flat, solid")),
    ("box", gettext_noop("rectangular tube")),
    ("tube", gettext_noop("round tube")),
    ("polygon", gettext_noop("any outline, by its corners")),
)


@dataclass(frozen=True)
class Line:
    """A profile's mass by the metre, and what a line gives of it."""

    kg_m: float
    kg_min: float
    kg_h: float
    pieces_h: float
    piece_kg: float


def area_of(shape: str, sizes: Mapping) -> float:
    """Return the area in mm2 of a profile by its sizes in mm: side, height, wall, or corners.

    Raises Impossible `no-height`, `no-wall` or `no-points` for a size that the shape needs and has not.

    >>> area_of("square", {"side_mm": 40})
    1600
    """
    side = sizes["side_mm"]
    if shape in {"flat", "box"} and not sizes["height_mm"]:
        raise Impossible("no-height", "height_mm")
    if shape in {"tube", "box"} and not sizes["wall_mm"]:
        raise Impossible("no-wall", "wall_mm")
    if shape == "polygon" and not sizes["points"]:
        raise Impossible("no-points", "points")
    areas = {
        "square": lambda: rectangle(width_mm=side, height_mm=side).area_mm2,
        "round": lambda: rod(diameter_mm=side).area_mm2,
        "flat": lambda: rectangle(width_mm=side, height_mm=sizes["height_mm"]).area_mm2,
        "box": lambda: (
            box(width_mm=side, height_mm=sizes["height_mm"], wall_mm=sizes["wall_mm"]).area_mm2
        ),
        "tube": lambda: tube(diameter_mm=side, wall_mm=sizes["wall_mm"]).area_mm2,
        "polygon": lambda: polygon_area_mm2(parse_points(sizes["points"])),
    }
    return areas[shape]()


def line_output(
    *, area_mm2: float, density_g_cm3: float, speed_m_min: float, piece_m: float
) -> Line:
    """Return the mass by the metre, m' = rho A, and the output of a line, m' v.

    Solid 40 x 40 mm PE-HD at 0.955 and 0.5 m/min: 1.528 kg/m, 45.8 kg/h.

    >>> found = line_output(area_mm2=1600, density_g_cm3=0.955, speed_m_min=0.5, piece_m=2)
    >>> round(found.kg_m, 3), round(found.kg_h, 1)
    (1.528, 45.8)
    """
    kg_m = area_mm2 * density_g_cm3 / G_PER_KG
    kg_min = kg_m * speed_m_min
    return Line(kg_m, kg_min, kg_min * MIN_PER_H, speed_m_min * MIN_PER_H / piece_m, kg_m * piece_m)


@dataclass(frozen=True)
class Form:
    """A round form: its diameter and the height that is wrapped, in mm."""

    diameter_mm: float
    height_mm: float


@dataclass(frozen=True)
class Winding:
    """Strand wrapped round a form: turns, its length and its mass."""

    turns: float
    length_m: float
    mass_kg: float
    pitch_mm: float
    minutes: float
    notes: tuple[Note, ...] = ()


def winding(
    form: Form, *, strand_mm: float, overlap_percent: float, layers: float, density_g_cm3: float
) -> Winding:
    """Return the turns and the length of a round strand wrapped closely round a form; minutes at 1 m/min.

    The pitch is the strand less its overlap. A turn is the hypotenuse of pitch and girth at the
    strand's middle; each layer lies one strand further out. Plain geometry of a helix.

    >>> found = winding(
    ...     Form(100, 200), strand_mm=5, overlap_percent=0, layers=1, density_g_cm3=0.955
    ... )
    >>> found.turns, round(found.length_m, 2)
    (40.0, 13.2)
    """
    pitch = strand_mm * (1 - overlap_percent / 100)
    turns = form.height_mm / pitch
    girths = [
        pi * (form.diameter_mm + strand_mm * (2 * layer + 1)) for layer in range(ceil(layers))
    ]
    length_m = sum(turns * hypot(girth, pitch) for girth in girths) / MM_PER_M
    area = rod(diameter_mm=strand_mm).area_mm2
    return Winding(
        turns * len(girths),
        length_m,
        length_m * area * density_g_cm3 / G_PER_KG,
        pitch,
        length_m,
        noted((turns < 1, "no-turn", {}), (strand_mm > form.diameter_mm / 2, "stiff", {})),
    )


def _answer_profile(given: Mapping) -> Answer:
    area = area_of(given["shape"], given)
    asked = {name: given[name] for name in ("density_g_cm3", "speed_m_min", "piece_m")}
    found = line_output(area_mm2=area, **asked)
    hollow = given["shape"] in {"tube", "box"}
    return Answer(vars(found) | {"area_mm2": area}, noted((hollow, "mean-wall", {})))


def _answer_winding(given: Mapping) -> Answer:
    asked = {n: given[n] for n in ("strand_mm", "overlap_percent", "layers", "density_g_cm3")}
    found = winding(Form(given["diameter_mm"], given["height_mm"]), **asked)
    return Answer(vars(found) | {"minutes": found.length_m / given["speed_m_min"]}, found.notes)


PROFILE = Calculator(
    name="profile",
    title=gettext_noop("Profile and line"),
    question=gettext_noop("What does a metre of this profile weigh, and what does the line give?"),
    steps=("extruding", "designing"),
    inputs=(
        polymer_input(),
        Input("shape", gettext_noop("Shape"), default="square", kind="choice", choices=SHAPES),
        Input("side_mm", gettext_noop("Side, width or diameter"), "mm", 40, 0.1, 2000),
        Input("height_mm", gettext_noop("Height"), "mm", None, 0.1, 2000, is_optional=True),
        Input(
            "wall_mm",
            gettext_noop("Wall, measured"),
            "mm",
            None,
            0.05,
            1000,
            is_optional=True,
            help=gettext_noop("The mean of some places: the nominal wall is 5 to 9 % too light."),
        ),
        Input(
            "points",
            gettext_noop("Corners in mm"),
            kind="text",
            default="",
            is_optional=True,
            help=gettext_noop(
                "In order, such as 0,0 40,0 40,20 0,20; a point marks decimals here."
            ),
        ),
        Input("speed_m_min", gettext_noop("Line speed"), "m/min", 0.5, 0.001, 500),
        Input("piece_m", gettext_noop("Length of a piece"), "m", 2, 0.001, 1000),
        density_input(),
    ),
    outputs=(
        Output("kg_m", gettext_noop("A metre weighs"), "kg/m", 4, is_main=True),
        Output("kg_h", gettext_noop("The line gives"), "kg/h", 3, is_main=True),
        Output("piece_kg", gettext_noop("A piece weighs"), "kg", 4),
        Output("pieces_h", gettext_noop("Pieces in an hour"), gettext_noop("pieces/h"), 3),
        Output("kg_min", gettext_noop("In a minute"), "kg/min", 3),
        Output("area_mm2", gettext_noop("Area of the section"), "mm²", 4),
    ),
    answer=_answer_profile,
    formula=(
        "m' = ρ · A",
        "ṁ = m' · v",
        "A_tube = π · e · (D − e)",
        "A_polygon = ½ |Σ (x_i y_j − x_j y_i)|",
    ),
    symbols=(
        ("m'", gettext_noop("mass of a metre"), "kg/m"),
        ("A", gettext_noop("area of the section"), "mm²"),
        ("v", gettext_noop("line speed"), "m/min"),
        ("D, e", gettext_noop("outside diameter and wall of a tube"), "mm"),
    ),
    sources=(
        Source(gettext_noop("Density times area"), "exact"),
        Source(
            gettext_noop(
                "Held against the PE pipe masses of DIN 8074 with the mean wall: within 1.4 %"
            )
        ),
    ),
    valid=gettext_noop(
        "For a profile without voids. Thick solid profiles often have voids in the middle: weigh a metre."
    ),
    notes={
        "mean-wall": gettext_noop("The wall counts as its mean; measure it in several places."),
        "no-height": gettext_noop("This shape needs a height."),
        "no-wall": gettext_noop("This shape needs its wall."),
        "no-points": gettext_noop("An outline needs its corners."),
        "wall": gettext_noop("The wall leaves no hollow: it is less than half of the outside."),
        "points": gettext_noop(
            "Write at least three corners, such as 0,0 40,0 40,20, up to 5000 mm."
        ),
        "crossing": gettext_noop("Sides of this outline cross: write the corners in order."),
    },
    caution=BARREL,
)

WINDING = Calculator(
    name="winding",
    title=gettext_noop("Strand round a form"),
    question=gettext_noop("How much strand goes round a form, in how many turns?"),
    steps=("extruding",),
    inputs=(
        polymer_input(),
        Input("diameter_mm", gettext_noop("Diameter of the form"), "mm", 100, 1, 3000),
        Input("height_mm", gettext_noop("Height to wrap"), "mm", 200, 1, 5000),
        Input("strand_mm", gettext_noop("Thickness of the strand"), "mm", 5, 0.2, 100),
        Input(
            "overlap_percent",
            gettext_noop("Overlap of the turns"),
            "%",
            20,
            0,
            80,
            basis="judgement",
        ),
        Input("layers", gettext_noop("Layers"), gettext_noop("layers"), 1, 1, 20, kind="whole"),
        Input("speed_m_min", gettext_noop("Strand comes with"), "m/min", 2, 0.01, 500),
        density_input(),
    ),
    outputs=(
        Output("mass_kg", gettext_noop("The part weighs"), "kg", 3, is_main=True),
        Output("turns", gettext_noop("Turns"), gettext_noop("turns"), 3, is_main=True),
        Output("length_m", gettext_noop("Length of the strand"), "m", 3),
        Output("minutes", gettext_noop("Wrapping takes"), "min", 3),
        Output("pitch_mm", gettext_noop("From turn to turn"), "mm", 3),
    ),
    answer=_answer_winding,
    formula=("n = H / (d · (1 − o))", "L = n · √((π (D + d))² + pitch²)", "m = L · π d²/4 · ρ"),
    symbols=(
        ("n", gettext_noop("turns of one layer"), ""),
        ("H, D", gettext_noop("height and diameter of the form"), "mm"),
        ("d, o", gettext_noop("thickness of the strand, overlap"), "mm, %"),
        ("L", gettext_noop("length of the strand"), "m"),
    ),
    sources=(
        Source(gettext_noop("Geometry of a helix"), "exact"),
        Source(gettext_noop("An overlap of 20 %, so that the turns weld"), "judgement"),
    ),
    valid=gettext_noop(
        "For a round strand that keeps its thickness. It is drawn out when the form turns too fast, and hot it"
        " flattens: the first part says the truth."
    ),
    notes={
        "no-turn": gettext_noop("The height is less than one turn."),
        "stiff": gettext_noop("The strand is thick for this form: it may not bend so tightly."),
    },
    caution=BARREL,
)
