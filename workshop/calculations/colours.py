"""Colour: sRGB and CIELAB, the difference CIEDE2000, and an estimate of a mixture."""

from collections.abc import Mapping, Sequence
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

from products.calculations.calculators import (
    Answer,
    Calculator,
    Impossible,
    Input,
    Output,
    Source,
    noted,
)
from products.calculations.sentences import gettext_noop

Lab = tuple[float, float, float]
PARTS = (1, 2, 3)
# IEC 61966-2-1 (sRGB, from memory): linear RGB to XYZ under D65, and the white of that
TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
WHITE = tuple(sum(row) for row in TO_XYZ)
EPSILON, KAPPA = 216 / 24389, 24389 / 27  # CIE 15
SEEN, PLAIN = 1.0, 5.0
POWER_7 = 25.0**7
FULL, HALF = 360, 180


def rgb_of(text: str, at: str) -> tuple[float, float, float]:
    """Return the parts of an sRGB value such as #2a68b0, 0 to 1; raises Impossible `no-colour`.

    >>> rgb_of("#ff0000", "srgb_1")
    (1.0, 0.0, 0.0)
    """
    digits = text.strip().removeprefix("#")
    if len(digits) != len("rrggbb") or not set(digits.lower()) <= set("0123456789abcdef"):
        raise Impossible("no-colour", at)
    return tuple(int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4))


def to_light(value: float) -> float:
    """Return the linear light of one sRGB part, both 0 to 1 (IEC 61966-2-1).

    >>> round(to_light(0.5), 4)
    0.214
    """
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4  # noqa: PLR2004


def from_light(light: float) -> float:
    """Return the sRGB part of a linear light, both 0 to 1.

    >>> round(from_light(to_light(0.3)), 6)
    0.3
    """
    return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055  # noqa: PLR2004


def lab_of(rgb: Sequence[float]) -> Lab:
    """Return CIELAB (D65, 2 degrees) of sRGB parts 0 to 1, by CIE 15.

    >>> tuple(round(each) for each in lab_of((1.0, 1.0, 1.0)))
    (100, 0, 0)
    """
    light = [to_light(each) for each in rgb]
    xyz = [sum(a * b for a, b in zip(row, light, strict=True)) for row in TO_XYZ]
    ratios = [value / white for value, white in zip(xyz, WHITE, strict=True)]
    x, y, z = (r ** (1 / 3) if r > EPSILON else (KAPPA * r + 16) / 116 for r in ratios)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def mixed_rgb(parts: Sequence[tuple[float, Sequence[float]]]) -> tuple[float, ...]:
    """Return the sRGB of parts given as mass and sRGB, averaged in linear light by mass.

    An estimate (this project's judgement): flakes seen from afar average their light; pigments that
    are melted together do not, and the strong one wins.

    >>> [round(each, 3) for each in mixed_rgb([(1, (1, 1, 1)), (1, (0, 0, 0))])]
    [0.735, 0.735, 0.735]
    """
    mass = sum(each for each, _rgb in parts)
    lights = [sum(m * to_light(rgb[i]) for m, rgb in parts) / mass for i in range(3)]
    return tuple(from_light(each) for each in lights)


def hex_of(rgb: Sequence[float]) -> str:
    """Return sRGB parts 0 to 1 as text.

    >>> hex_of((1.0, 0.5, 0.0))
    '#ff8000'
    """
    return "#" + "".join(f"{round(255 * min(1, max(0, each))):02x}" for each in rgb)


def ciede2000(first: Lab, second: Lab) -> float:
    """Return the colour difference CIEDE2000 with kL = kC = kH = 1.

    Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula", Color Res. Appl. 30 (2005) 21-30.

    >>> round(ciede2000((50, 2.6772, -79.7751), (50, 0, -82.7485)), 4)
    2.0425
    """
    (l1, c1, h1), (l2, c2, h2) = _turned(first, second)
    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    hue = _mean_hue(h1, h2) if c1 * c2 else h1 + h2
    turn = (h2 - h1 + HALF) % FULL - HALF if c1 * c2 else 0
    d_light, d_chroma = l2 - l1, c2 - c1
    d_hue = 2 * sqrt(c1 * c2) * sin(radians(turn) / 2)
    t = 1 - 0.17 * _cos(hue - 30) + 0.24 * _cos(2 * hue)
    t += 0.32 * _cos(3 * hue + 6) - 0.20 * _cos(4 * hue - 63)
    s_light = 1 + 0.015 * (light - 50) ** 2 / sqrt(20 + (light - 50) ** 2)
    s_chroma, s_hue = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    bent = 60 * exp(-(((hue - 275) / 25) ** 2))
    rotation = -2 * sqrt(chroma**7 / (chroma**7 + POWER_7)) * sin(radians(bent))
    a, b, c = d_light / s_light, d_chroma / s_chroma, d_hue / s_hue
    return sqrt(max(0, a * a + b * b + c * c + rotation * b * c))


def _turned(first: Lab, second: Lab) -> list[Lab]:
    """Return lightness, chroma and hue angle with the a axis stretched as the formula asks."""
    chroma = (hypot(*first[1:]) + hypot(*second[1:])) / 2
    stretch = 1 + 0.5 * (1 - sqrt(chroma**7 / (chroma**7 + POWER_7)))
    return [
        (light, hypot(a * stretch, b), degrees(atan2(b, a * stretch)) % FULL)
        for light, a, b in (first, second)
    ]


def _mean_hue(h1: float, h2: float) -> float:
    if abs(h1 - h2) <= HALF:
        return (h1 + h2) / 2
    return (h1 + h2 + FULL) / 2 if h1 + h2 < FULL else (h1 + h2 - FULL) / 2


def _cos(angle: float) -> float:
    return cos(radians(angle))


def _answer(given: Mapping) -> Answer:
    parts = []
    for n in PARTS:
        if given[f"mass_{n}_kg"]:
            rgb = rgb_of(given[f"srgb_{n}"] or "", f"srgb_{n}")
            parts.append((given[f"mass_{n}_kg"], rgb))
    if not parts:
        raise Impossible("nothing", "mass_1_kg")
    mixed = mixed_rgb(parts)
    lab = lab_of(mixed)
    target = tuple(given[f"target_{axis}"] for axis in ("l", "a", "b"))
    difference = ciede2000(target, lab)
    values = {"difference": difference, "srgb": hex_of(mixed)}
    values |= dict(zip(("l", "a", "b"), lab, strict=True))
    return Answer(
        values,
        noted(
            (difference <= SEEN, "close", {}),
            (difference > PLAIN, "plain", {}),
            (len(parts) > 1, "estimate", {}),
        ),
    )


def _part(n: int, srgb: str, mass: float | None, labels: tuple[str, str]) -> tuple[Input, ...]:
    label, of_it = labels
    colour = Input(f"srgb_{n}", label, kind="text", default=srgb, is_optional=True, help="#rrggbb")
    weight = Input(f"mass_{n}_kg", of_it, "kg", mass, 0, 100_000, is_optional=True)
    return colour, weight


COLOUR = Calculator(
    name="colour",
    title=gettext_noop("Colour against a target"),
    question=gettext_noop("What colour do these flakes give together, how far off the target?"),
    steps=("colour",),
    inputs=(
        *_part(
            1, "#2a68b0", 3, (gettext_noop("First colour, sRGB"), gettext_noop("Mass of the first"))
        ),
        *_part(
            2,
            "#f7f7f4",
            1,
            (gettext_noop("Second colour, sRGB"), gettext_noop("Mass of the second")),
        ),
        *_part(
            3, "", None, (gettext_noop("Third colour, sRGB"), gettext_noop("Mass of the third"))
        ),
        Input("target_l", gettext_noop("Target L*"), "", 55, 0, 100),
        Input("target_a", gettext_noop("Target a*"), "", 0, -128, 128),
        Input("target_b", gettext_noop("Target b*"), "", -35, -128, 128),
    ),
    outputs=(
        Output("difference", gettext_noop("Off the target"), "ΔE₀₀", 3, is_main=True),
        Output("srgb", gettext_noop("Estimated colour"), "sRGB", is_main=True),
        Output("l", gettext_noop("Estimated L*"), "", 3),
        Output("a", gettext_noop("Estimated a*"), "", 3),
        Output("b", gettext_noop("Estimated b*"), "", 3),
    ),
    answer=_answer,
    formula=(
        "light = ((c + 0.055) / 1.055)^2.4",
        "light_mix = Σ m_i · light_i / Σ m_i",
        "ΔE₀₀ = √(ΔL² + ΔC² + ΔH² + R_T · ΔC · ΔH)",
    ),
    symbols=(
        ("c", gettext_noop("one of the three sRGB values, 0 to 1"), ""),
        ("m_i", gettext_noop("mass of a colour"), "kg"),
        ("ΔL, ΔC, ΔH", gettext_noop("weighted differences of lightness, chroma and hue"), ""),
    ),
    sources=(
        Source(
            gettext_noop("CIEDE2000: Sharma, Wu, Dalal, Color Research and Application 30 (2005)")
        ),
        Source(gettext_noop("sRGB: IEC 61966-2-1; CIELAB: CIE 15, D65, 2°"), "memory"),
        Source(gettext_noop("The mixture as an average of light by mass"), "judgement"),
        Source(gettext_noop("A difference of 1 is just seen, one of 5 is plain"), "common"),
    ),
    valid=gettext_noop(
        "An estimate: good for flakes that stay apart, seen from afar. Melted together the strong pigment"
        " wins, and a photo's sRGB is only indicative. Press a small plaque and measure it."
    ),
    notes={
        "no-colour": gettext_noop("Write the colour as six digits, such as #2a68b0."),
        "nothing": gettext_noop("Enter the mass of one colour at least."),
        "close": gettext_noop("A difference of about 1 is hardly seen side by side."),
        "plain": gettext_noop("The difference is plain to see: change the shares, or the target."),
        "estimate": gettext_noop(
            "The mixture is an estimate: press a small plaque before the batch."
        ),
    },
)
