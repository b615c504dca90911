"""Questions about runs: what a charge holds, what is left, how well it balances."""

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from inventory.calculations.weighing import judge_gap
from inventory.models import Lot, Transfer
from inventory.queries.postings import standing_transfers
from workshop.models import Charge, Load, Run, Yield

STANDING = {"posting__reversed_by__isnull": True}


@dataclass(frozen=True)
class ChargeBalance:
    """A charge as its page shows it; masses in mg. A gap above zero is missing mass."""

    charge: Charge
    loads: list[Load]
    yields: list[Yield]
    in_mg: int
    yielded_mg: int
    left_mg: int
    gap_mg: int
    expanded_mg: float
    is_within: bool

    @property
    def is_closed(self) -> bool:
        """Whether all of its mass is accounted for."""
        return self.charge.lot.closed_at is not None

    @property
    def is_sealed(self) -> bool:
        """Whether it has yielded, so that it takes nothing more."""
        return self.charge.lot.out_mg > 0


def standing_loads(charge: Charge) -> QuerySet[Load]:
    """Loads of a charge that were not reversed."""
    related = ("source__bin", "source__polymer", "source__colour", "part__design", "posting__by")
    return charge.loads.filter(**STANDING).select_related(*related)


def standing_yields(charge: Charge) -> QuerySet[Yield]:
    """Yields of a charge that were not reversed."""
    return charge.yields.filter(**STANDING).select_related("bin", "posting__by")


def gained_mg(charge: Charge) -> int:
    """Return the milligrams that yields of a charge weighed beyond what it held."""
    postings = charge.yields.filter(**STANDING).values("posting")
    rows = Transfer.objects.filter(posting__in=postings, source__kind=Lot.Kind.GAIN)
    return sum(rows.values_list("mass_mg", flat=True))


def weighing_uncertainties(charge: Charge) -> list[float]:
    """Return the standard uncertainties in mg of every weighing into and out of a charge."""
    rows = standing_transfers().filter(Q(source=charge.lot) | Q(target=charge.lot))
    return [u / 1000 for u in rows.values_list("uncertainty_ug", flat=True)]


def charge_balance(charge: Charge) -> ChargeBalance:
    """Return a charge with its loads, its yields and its gap judged against the weighings."""
    lot = charge.lot
    loads, yields = list(standing_loads(charge)), list(standing_yields(charge))
    out_mg = lot.out_mg + gained_mg(charge)
    gap = judge_gap(in_mg=lot.in_mg, out_mg=out_mg, uncertainties_mg=weighing_uncertainties(charge))
    return ChargeBalance(
        charge=charge,
        loads=loads,
        yields=yields,
        in_mg=lot.in_mg,
        yielded_mg=out_mg,
        left_mg=lot.held_mg,
        gap_mg=gap.gap_mg,
        expanded_mg=gap.expanded_mg,
        is_within=gap.within,
    )


def balances(run: Run) -> list[ChargeBalance]:
    """Return every charge of a run that took something, in order."""
    charges = run.charges.select_related("lot__polymer", "lot__colour").filter(lot__in_mg__gt=0)
    return [charge_balance(charge) for charge in charges]


def open_charges(run: Run) -> QuerySet[Charge]:
    """Charges of a run that are not closed, newest last."""
    return run.charges.filter(lot__closed_at=None, lot__in_mg__gt=0).select_related("lot")


def current_charge(run: Run) -> Charge | None:
    """Return the newest charge of a run that is not closed."""
    return open_charges(run).last()


def run_list() -> QuerySet[Run]:
    """Return runs with all that a list row prints."""
    return Run.objects.select_related("machine", "design", "operator", "tooling")


def run_numbered(text: str) -> Run | None:
    """Return the run of a shop number such as R-0042."""
    digits = text.upper().removeprefix("R-")
    return Run.objects.filter(pk=int(digits)).first() if digits.isdecimal() else None
