"""Every model of the products."""

from products.models.assemblies import Bought, Item, Joint, JointKind
from products.models.designs import MAKES_PARTS, Design, Operation, Use, Work
from products.models.foreign_sheets import ForeignSheet
from products.models.labels import Label, LabelGrid, PrintedAddress, Printing
from products.models.nested_plans import NestedPlan
from products.models.parts import Fixing, Handover, Part
from products.models.passports import Passport
from products.models.windows import Quantity, Window

__all__ = [
    "MAKES_PARTS",
    "Bought",
    "Design",
    "Fixing",
    "ForeignSheet",
    "Handover",
    "Item",
    "Joint",
    "JointKind",
    "Label",
    "LabelGrid",
    "Operation",
    "NestedPlan",
    "Part",
    "Passport",
    "PrintedAddress",
    "Printing",
    "Quantity",
    "Use",
    "Window",
    "Work",
]
