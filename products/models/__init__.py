"""Every model of the products."""

from products.models.designs import MAKES_PARTS, Design, Operation
from products.models.parts import Handover, Part

__all__ = ["MAKES_PARTS", "Design", "Handover", "Operation", "Part"]
