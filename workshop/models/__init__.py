"""Every model of the shop floor."""

from workshop.models.machines import Machine, Purge, Tooling
from workshop.models.runs import Charge, Load, Run, Yield

__all__ = ["Charge", "Load", "Machine", "Purge", "Run", "Tooling", "Yield"]
