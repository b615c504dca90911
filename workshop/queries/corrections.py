"""What a correction means for runs: their charges, the gaps that change, and its whole effect."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.queries.corrections import (
    HeldChange,
    StepChange,
    effect_token,
    held_changes,
    lots_reached,
    step_changes,
)
from inventory.queries.drafts import Draft, GapChange
from products.queries.corrections import PartChange, part_changes
from workshop.models import Charge


def charges_of(lots: Iterable) -> dict[int, Charge]:
    """Return the charges of some lots with their runs, by the lot's primary key."""
    keys = [key for key in lots if isinstance(key, int)]
    rows = Charge.objects.select_related("run__machine", "run__design").filter(lot__in=keys)
    return {charge.lot_id: charge for charge in rows}


@dataclass(frozen=True)
class ChargeChange:
    """A closed charge whose gap would be another."""

    charge: Charge
    gap: GapChange


@dataclass(frozen=True)
class Effect:
    """All that a correction would change, and the token that stands for it."""

    steps: list[StepChange]
    held: list[HeldChange]
    charges: list[ChargeChange]
    parts: list[PartChange]
    token: str

    @property
    def claim_count(self) -> int:
        """How many parts would be claimed to be something else."""
        return sum(row.changes_claim for row in self.parts)

    @property
    def passport_count(self) -> int:
        """How many passports would have to be issued anew."""
        return sum(row.has_passport for row in self.parts)

    @property
    def has_loss(self) -> bool:
        """Whether a loss must be named."""
        return any(row.gap.is_loss for row in self.charges)


def effect_of(draft: Draft) -> Effect:
    """Return all that a draft would change."""
    reached = lots_reached(draft)
    charges = charges_of(gap.lot.pk for gap in draft.gaps)
    return Effect(
        steps=step_changes(draft),
        held=held_changes(draft),
        charges=[ChargeChange(charges[gap.lot.pk], gap) for gap in draft.gaps],
        parts=part_changes(draft, reached),
        token=effect_token(draft, reached),
    )
