"""A stool that holds three clips, put together by the real actions."""

from products.actions.assemblies import ItemPlan, set_assembly
from products.models import Design, Part
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, make_part

CLIP_MG = 10_007


def clip_design(name: str = "Clip") -> Design:
    """Return the design of a clip that is injected."""
    return DesignFactory(name=name, made_by="inject", form="part", nominal_mass_mg=10_000)


def stool_design(by, *components: Design, count: int = 3) -> Design:
    """Return the design of a stool that takes so many of each component, and four bolts."""
    stool = DesignFactory(name="Stool", made_by="inject", form="part")
    items = [ItemPlan(count, component) for component in components]
    items.append(ItemPlan(4, bought="screw", bought_name="bolt M6"))
    set_assembly(design=stool, items=items, joints=[], act=make_act(by))
    return stool


def made(by, design: Design, mass_mg: int = KG, pieces: int = 1, lot=None) -> Part:
    """Return a part of a design, or a bag of it, made of a lot or of a fresh delivery."""
    lot = lot or make_full_bin(by)[1]
    return make_part(by, lot, mass_mg, design, "inject", pieces)


def bag_of(by, design: Design, pieces: int, mass_mg: int | None = None) -> Part:
    """Return a bag of so many pieces, of which the mass is no multiple."""
    design.tracked = Design.Tracking.BAG
    design.save()
    return made(by, design, mass_mg or pieces * CLIP_MG + 3, pieces)
