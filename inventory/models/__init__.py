"""Every model of the inventory."""

from inventory.models.bins import Bin
from inventory.models.changes import Change
from inventory.models.deliveries import Condition, Delivery, Identification
from inventory.models.lots import Hold, Lot, Material
from inventory.models.materials import (
    Blend,
    Colour,
    Form,
    OriginClass,
    Polymer,
    Spelling,
)
from inventory.models.postings import Posting, Transfer
from inventory.models.scales import Basis, Mass, Scale
from inventory.models.sources import Source

__all__ = [
    "Basis",
    "Bin",
    "Blend",
    "Change",
    "Colour",
    "Condition",
    "Delivery",
    "Form",
    "Hold",
    "Identification",
    "Lot",
    "Mass",
    "Material",
    "OriginClass",
    "Polymer",
    "Posting",
    "Scale",
    "Source",
    "Spelling",
    "Transfer",
]
