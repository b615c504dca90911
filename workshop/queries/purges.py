"""Whether a machine has to be purged before a polymer goes in, and what a rest of the last one would do."""

from dataclasses import dataclass

from django.db.models import F, Sum
from django.utils.translation import gettext_lazy as _

from inventory.calculations.compatibilities import compatibility
from inventory.models import Polymer
from workshop.calculations.operations import RETAINING
from workshop.models import Machine, Run

# By whether the last polymer is reject material, which no purge removes.
PURGE_FIRST = {
    False: _(
        "%(machine)s last worked %(last)s; purge it and write the purge down before %(next)s goes in."
    ),
    True: _(
        "%(machine)s last worked %(last)s, which must never get into %(next)s, and no purge makes that"
        " safe; retire the machine."
    ),
}
REMAINS = {
    "never": _("A rest of %(last)s does harm in %(next)s: nothing of it may stay inside."),
    "apart": _("A rest of %(last)s makes %(next)s weak: nothing of it may stay inside."),
    "limited": _("%(next)s bears only a few per cent of %(last)s before it is weak."),
    "usable": _("%(next)s bears a rest of %(last)s, but it would be marked as what it is not."),
    "unknown": _("Nobody knows here what a rest of %(last)s does in %(next)s, so keep them apart."),
}


@dataclass(frozen=True)
class PurgeNeed:
    """A machine that last worked another polymer than the next one."""

    machine: Machine
    last: Polymer
    next: Polymer

    @property
    def is_possible(self) -> bool:
        """Whether a purge helps: not after reject material."""
        return not self.last.is_rejected

    @property
    def compatibility(self) -> str:
        """What becomes of a rest of the last polymer in the next one, as the chart of compatibilities says."""
        return compatibility(self.next.symbol, self.last.symbol)

    @property
    def said(self) -> str:
        """What is to be done, in a sentence."""
        return str(PURGE_FIRST[self.last.is_rejected]) % self.facts

    @property
    def remains_said(self) -> str:
        """What a rest would do, in a sentence."""
        return str(REMAINS[self.compatibility]) % self.facts

    @property
    def facts(self) -> dict[str, str]:
        """The names that sentences need."""
        names = {"machine": self.machine.name, "last": self.last.symbol}
        return names | {"next": self.next.symbol}


def purge_needed(
    machine: Machine, polymer: Polymer, working: Polymer | None = None
) -> PurgeNeed | None:
    """Return what has to be purged before a polymer goes in; `working` is what an open charge holds already."""
    last = machine.last_polymer
    if machine.kind not in RETAINING or last in (None, polymer, working):
        return None
    return PurgeNeed(machine, last, polymer)


def runs_inside(machine: Machine) -> list[Run]:
    """Return the open runs of which something is still in a machine, each with `left_mg`, in one query."""
    left = F("charges__lot__in_mg") - F("charges__lot__out_mg")
    runs = machine.runs.open().annotate(left_mg=Sum(left)).filter(left_mg__gt=0)
    return list(runs.order_by("pk"))
