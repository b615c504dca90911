"""Every model of the inventory."""

from inventory.models.bins import Bin
from inventory.models.changes import Change
from inventory.models.checkpoints import Branch, Checkpoint, Leaf
from inventory.models.counts import Count, Reading
from inventory.models.deliveries import Condition, Delivery, Identification
from inventory.models.lineages import ForeignEvent, ForeignOrigin, ForeignPasses, Lineage
from inventory.models.lots import Hold, Lot, Material
from inventory.models.materials import (
    Blend,
    Colour,
    Form,
    OriginClass,
    Polymer,
    Spelling,
)
from inventory.models.own_figures import OwnFigure
from inventory.models.postings import Posting, Transfer
from inventory.models.prices import Currency, Price
from inventory.models.recalls import Recall
from inventory.models.rounds import Round, Stop
from inventory.models.scales import Basis, Mass, Scale
from inventory.models.sources import Source

__all__ = [
    "Basis",
    "Bin",
    "Blend",
    "Branch",
    "Change",
    "Checkpoint",
    "Colour",
    "Condition",
    "Count",
    "Currency",
    "Delivery",
    "ForeignEvent",
    "ForeignOrigin",
    "ForeignPasses",
    "Form",
    "Hold",
    "Identification",
    "Leaf",
    "Lineage",
    "Lot",
    "Mass",
    "Material",
    "OriginClass",
    "OwnFigure",
    "Polymer",
    "Posting",
    "Price",
    "Reading",
    "Recall",
    "Round",
    "Scale",
    "Source",
    "Spelling",
    "Stop",
    "Transfer",
]
