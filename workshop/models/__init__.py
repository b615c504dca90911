"""Every model of the shop floor."""

from workshop.models.audits import AuditFile
from workshop.models.cycles import Cycle
from workshop.models.machines import Machine, Purge, Tooling
from workshop.models.meterings import Metering
from workshop.models.pauses import Pause
from workshop.models.people import Badge, Guesses, Turn
from workshop.models.photos import Photo
from workshop.models.planned_sheets import PlannedSheet
from workshop.models.plans import Plan
from workshop.models.process_sheets import ChosenSetting
from workshop.models.rates import Rate
from workshop.models.readings import Reading
from workshop.models.runs import CODED, Charge, Load, Run, Yield
from workshop.models.steps import Step
from workshop.models.visits import Piece, Visit

__all__ = [
    "CODED",
    "AuditFile",
    "Badge",
    "Charge",
    "ChosenSetting",
    "Cycle",
    "Guesses",
    "Load",
    "Machine",
    "Metering",
    "Pause",
    "Photo",
    "Piece",
    "Plan",
    "PlannedSheet",
    "Purge",
    "Rate",
    "Reading",
    "Run",
    "Step",
    "Tooling",
    "Turn",
    "Visit",
    "Yield",
]
