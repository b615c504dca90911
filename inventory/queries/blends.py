"""What a mixture of materials becomes, by the rules that keep polymers apart."""

from inventory.calculations.coarseness import coarsest
from inventory.models import Blend, Material, Polymer
from inventory.queries.materials import mixed_colour


class CannotMix(ValueError):  # noqa: N818 (named for what was found)
    """These polymers do not go together."""


def components(polymer: Polymer) -> frozenset[int]:
    """Return the primary keys of the single polymers in a polymer or blend."""
    blend = Blend.objects.filter(result=polymer).first()
    return frozenset({blend.main_id, blend.added_id} if blend else {polymer.pk})


def combined_polymer(polymers: set[Polymer], *, also_off: bool = False) -> Polymer:
    """Return what the polymers make together; raises CannotMix unless the lead allows it.

    Blends that were switched off count only with `also_off`, for looking back.
    """
    if len(polymers) == 1:
        return next(iter(polymers))
    wanted = frozenset().union(*(components(polymer) for polymer in polymers))
    blends = Blend.objects.select_related("result")
    for blend in blends if also_off else blends.filter(is_on=True):
        if {blend.main_id, blend.added_id} == wanted:
            return blend.result
    raise CannotMix(" + ".join(sorted(polymer.symbol for polymer in polymers)))


def combined_material(materials: list[Material]) -> Material:
    """Return the material that standing contents make together, blends switched off included."""
    polymers = {material.polymer for material in materials}
    polymer = None if None in polymers else combined_polymer(polymers, also_off=True)
    return Material(polymer, combined_colour(materials), combined_form(materials))


def combined_colour(materials: list[Material]):
    """Return the one colour of all, or "mixed"."""
    colours = {material.colour for material in materials}
    return colours.pop() if len(colours) == 1 else mixed_colour()


def combined_form(materials: list[Material]) -> str:
    """Return the coarsest form of all."""
    return coarsest([str(material.form) for material in materials])
