"""Names that documents of the standard EPCIS 2.0 use, and how things of the workshop are named in them.

Ids are web addresses under a base that the workshop sets, in the private forms of CBV 2.0:
`/obj/` for a thing of its own (part, bin), `/class/` for a lot, `/loc/`, `/bt/` and `/party/`.

Sources: GS1, EPCIS 2.0 and CBV 2.0 (public schema, ontology and discussions of the repository
gs1/EPCIS). The codes of units are from memory; the usual handbook is UN/CEFACT Recommendation 20.
"""

from fractions import Fraction

CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"
CONTEXTS = frozenset(
    {
        CONTEXT,
        "https://ref.gs1.org/standards/epcis/epcis-context.jsonld",
        "https://ref.gs1.org/standards/epcis/2.0.1/epcis-context.jsonld",
    }
)
SCHEMA_VERSION = "2.0"
MEDIA_TYPE = "application/ld+json"

# Our own terms stand under the workshop's base, so readers know them by how the address ends.
PREFIX = "ws"
NAMESPACE_TAIL = "/ns/plastic-1/"

MG_PER_KG = 1_000_000
MG_IN = {
    "KGM": Fraction(1_000_000),
    "GRM": Fraction(1_000),
    "MGM": Fraction(1),
    "TNE": Fraction(1_000_000_000),
    "DTN": Fraction(100_000_000),
    "LBR": Fraction("453592.37"),
    "ONZ": Fraction("28349.523125"),
}  # pound and ounce avoirdupois are exact by definition
OTHER_UNITS = {
    "volume": {"LTR", "MLT", "CLT", "DLT", "MTQ", "CMQ", "DMQ", "MMQ", "GLL", "INQ", "FTQ"},
    "length": {"MTR", "CMT", "MMT", "DMT", "KMT", "INH", "FOT"},
    "area": {"MTK", "CMK", "MMK", "INK", "FTK"},
    "pieces": {"EA", "C62", "H87", "PR", "DZN"},
    "time": {"SEC", "MIN", "HUR", "DAY"},
    "other": {"CEL", "FAH", "KEL", "BAR", "PAL", "KPA", "MPA", "WTT", "KWT", "KWH", "JOU", "P1"},
}
UNITS = frozenset().union(MG_IN, *OTHER_UNITS.values())


def namespace(base: str) -> str:
    """Return the address under which the workshop's own terms stand."""
    return f"{base}{NAMESPACE_TAIL}"


def thing_id(base: str, code: str) -> str:
    """Return the id of a thing that is one of its kind: a part, a bin, a scale."""
    return f"{base}/obj/{code}"


def lot_id(base: str, code: str) -> str:
    """Return the id of a lot, of which some may be taken."""
    return f"{base}/class/{code}"


def place_id(base: str, name: str) -> str:
    """Return the id of a place."""
    return f"{base}/loc/{name}"


def paper_id(base: str, name: str) -> str:
    """Return the id of a paper: a delivery note, the sheet of a run."""
    return f"{base}/bt/{name}"


def party_id(base: str, name: str) -> str:
    """Return the id of a party; it is a number, never a name."""
    return f"{base}/party/{name}"


def kilograms(mass_mg: int) -> float:
    """Return a mass in kg; written as JSON it has at most six decimals and is exact to the mg.

    >>> kilograms(12_500_000), kilograms(1_234_567)
    (12.5, 1.234567)
    """
    return mass_mg / MG_PER_KG


def milligrams(quantity: float, unit: str) -> Fraction | None:
    """Return a quantity in mg, exactly as it was written; None when the unit is none of mass.

    >>> milligrams(0.1, "KGM"), milligrams(2, "GRM"), milligrams(3, "LTR")
    (Fraction(100000, 1), Fraction(2000, 1), None)
    """
    per = MG_IN.get(unit)
    return None if per is None else Fraction(repr(quantity)) * per
