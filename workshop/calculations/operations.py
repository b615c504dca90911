"""What each operation needs and gives: one table, read by actions, forms and pages."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.calculations.coarseness import READY

RETAINING = frozenset({"granulator", "blender", "press", "injection", "extruder"})
HEATED = frozenset({"press", "injection", "extruder", "forming", "oven"})
GRINDING = frozenset({"granulator"})


@dataclass(frozen=True, kw_only=True)
class OperationRule:
    """The machines an operation runs on, what it takes and gives, and whether it melts."""

    machines: tuple[str, ...]
    yields: tuple[str, ...]
    takes_bins: bool = True
    takes_parts: bool = False
    melts: bool = False
    material_form: str = ""
    needs_design: bool = False


RULES = {
    "granulate": OperationRule(
        machines=("granulator",),
        takes_parts=True,
        yields=("material", "dust", "leftover"),
        material_form="flake",
    ),
    "blend": OperationRule(machines=("blender",), yields=("material", "dust", "leftover")),
    "press": OperationRule(
        machines=("press",),
        takes_parts=True,
        yields=("part", "reject", "offcut", "dust", "leftover"),
        melts=True,
        needs_design=True,
    ),
    "inject": OperationRule(
        machines=("injection",),
        yields=("part", "reject", "offcut", "purging", "leftover"),
        melts=True,
        needs_design=True,
    ),
    "extrude": OperationRule(
        machines=("extruder",),
        yields=("part", "material", "reject", "offcut", "purging", "leftover"),
        melts=True,
        material_form="pellet",
    ),
    "cut": OperationRule(
        machines=("cutter",),
        takes_bins=False,
        takes_parts=True,
        yields=("part", "kept", "reject", "offcut", "dust"),
        needs_design=True,
    ),
    "form": OperationRule(
        machines=("forming", "oven"),
        takes_bins=False,
        takes_parts=True,
        yields=("part", "reject", "offcut"),
        needs_design=True,
    ),
}

# Which kinds of tooling a machine of an operation takes (common practice).
KINDS_OF_TOOLING = {
    "granulate": ("screen", "blade"),
    "press": ("frame", "mould"),
    "inject": ("mould",),
    "extrude": ("die", "mould", "screen"),
    "cut": ("blade", "jig"),
    "form": ("jig", "mould"),
}
BY_HAND = frozenset({"finish", "assemble"})
TOOLING_BY_HAND = ("jig",)  # a drilling or glueing jig; common practice

SUITED = {
    "granulate": frozenset({"whole", "part", "sheet", "profile", "purging", "offcut"}),
    "press": READY | {"sheet"},
    "cut": frozenset({"sheet", "profile"}),
    "form": frozenset({"sheet", "profile", "part"}),
}


def suits(operation: str, form: str) -> bool:
    """Return whether plastic of a form is what an operation is usually loaded with (common practice).

    It refuses nothing: whole caps are pressed as well by those who want to see them.

    >>> suits("inject", "flake"), suits("inject", "dust"), suits("cut", "part")
    (True, False, False)
    """
    return form in SUITED.get(operation, READY)


MELTED_YIELDS = frozenset({"part", "material", "reject", "offcut", "purging"})

FORM_OF_YIELD = {"dust": "dust", "purging": "purging", "offcut": "offcut", "reject": "offcut"}


def is_melted(operation: str, kind: str) -> bool:
    """Return whether a yield of this kind was melted on the way; leftover and dust were not."""
    return RULES[operation].melts and kind in MELTED_YIELDS


def form_of_yield(operation: str, kind: str, charge_form: str) -> str:
    """Return the form in which a yield goes into a bin; leftover keeps that of the charge."""
    if kind == "material":
        return RULES[operation].material_form or charge_form
    return FORM_OF_YIELD.get(kind, charge_form)


def kinds_of_tooling(works: Iterable[str]) -> set[str]:
    """Return the kinds of tooling that any of some works of a route uses (common practice).

    >>> sorted(kinds_of_tooling({"inject", "assemble"})), kinds_of_tooling({"wash"})
    (['jig', 'mould'], set())
    """
    return {
        kind
        for work in works
        for kind in (TOOLING_BY_HAND if work in BY_HAND else KINDS_OF_TOOLING.get(work, ()))
    }
