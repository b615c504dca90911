"""Questions about runs: what a charge holds, what is left, how well it balances."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce

from inventory.calculations.weighing import judge_gap, quoted_beside
from inventory.models import Lot, Posting, Transfer
from inventory.queries.postings import standing_transfers
from workshop.calculations.operations import RETAINING
from workshop.models import Charge, Load, Run, Yield

MOST_DIGITS = 9
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
    def allowed_mg(self) -> int:
        """What its weighings explain, U = 2 u, in whole mg."""
        return round(self.expanded_mg)

    @property
    def quoted_mg(self) -> int:
        """What its weighings explain as it is told beside the gap: two digits, rounded up, or more."""
        return quoted_beside(self.expanded_mg, abs(self.gap_mg))

    @property
    def is_closed(self) -> bool:
        """Whether all of its mass is accounted for."""
        return self.charge.lot.closed_at is not None

    @property
    def is_sealed(self) -> bool:
        """Whether it has yielded, so that it takes nothing more."""
        return self.charge.lot.out_mg > 0


def standing_loads(charges) -> QuerySet[Load]:
    """Loads of charges that were not reversed, in loading order."""
    related = (
        "source__bin",
        "source__polymer",
        "source__colour",
        "source__delivery",
        "part__design",
        "posting__by",
    )
    found = Load.objects.filter(charge__in=charges, **STANDING).select_related(*related)
    return found.order_by(Coalesce("posting__replaces_id", "posting_id"))


def standing_yields(charges) -> QuerySet[Yield]:
    """Yields of charges that were not reversed."""
    found = Yield.objects.filter(charge__in=charges, **STANDING)
    return found.select_related("bin", "posting__by")


def by_charge(rows) -> dict[int, list]:
    """Return loads or yields sorted by the key of their charge."""
    sorted_rows = defaultdict(list)
    for row in rows:
        sorted_rows[row.charge_id].append(row)
    return sorted_rows


def gained_mg(yields: list[Yield]) -> dict[int, int]:
    """Return, by charge, the milligrams that its yields weighed beyond what it held."""
    charges = {row.posting_id: row.charge_id for row in yields}
    rows = Transfer.objects.filter(posting__in=charges, source__kind=Lot.Kind.GAIN)
    sums = defaultdict(int)
    for posting, mass_mg in rows.values_list("posting", "mass_mg"):
        sums[charges[posting]] += mass_mg
    return sums


def weighing_uncertainties(charges: list[Charge]) -> dict[int, list[float]]:
    """Return, by lot, the standard uncertainties in mg of each weighing into and out of a charge."""
    lots = [charge.lot_id for charge in charges]
    rows = standing_transfers().filter(Q(source__in=lots) | Q(target__in=lots))
    found = defaultdict(list)
    for source, target, uncertainty_ug in rows.values_list("source", "target", "uncertainty_ug"):
        found[source].append(uncertainty_ug / 1000)
        found[target].append(uncertainty_ug / 1000)
    return found


def charge_balances(charges: list[Charge]) -> list[ChargeBalance]:
    """Return charges with their loads, yields and gaps, in four queries whatever their number."""
    loads = by_charge(standing_loads(charges))
    all_yields = list(standing_yields(charges))
    yields, gains = by_charge(all_yields), gained_mg(all_yields)
    uncertainties = weighing_uncertainties(charges)
    return [
        one_balance(
            charge,
            loads[charge.pk],
            yields[charge.pk],
            charge.lot.out_mg + gains[charge.pk],
            uncertainties[charge.lot_id],
        )
        for charge in charges
    ]


def one_balance(charge, loads, yields, out_mg, uncertainties_mg) -> ChargeBalance:
    """Return a charge with its gap judged against the weighings."""
    lot = charge.lot
    gap = judge_gap(in_mg=lot.in_mg, out_mg=out_mg, uncertainties_mg=uncertainties_mg)
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


def charge_balance(charge: Charge) -> ChargeBalance:
    """Return one charge with its loads, its yields and its gap judged against the weighings."""
    return charge_balances([charge])[0]


def balances(run: Run) -> list[ChargeBalance]:
    """Return every charge of a run that took something, in order."""
    charges = run.charges.select_related("lot__polymer", "lot__colour").filter(lot__in_mg__gt=0)
    return charge_balances(list(charges))


def open_charges(run: Run) -> QuerySet[Charge]:
    """Charges of a run that are not closed, newest last."""
    return run.charges.filter(lot__closed_at=None, lot__in_mg__gt=0).select_related("lot")


def closings_of(run: Run) -> QuerySet[Posting]:
    """Return the standing postings that closed a run's charges, corrected ones included."""
    closed = Q(kind=Posting.Kind.CLOSE) | Q(replaces__kind=Posting.Kind.CLOSE)
    return Posting.objects.standing().filter(closed, reference=run.reference)


def current_charge(run: Run) -> Charge | None:
    """Return the newest charge of a run that is not closed."""
    return open_charges(run).last()


def run_list() -> QuerySet[Run]:
    """Return runs with all that a list row prints."""
    return Run.objects.select_related("machine", "design", "operator", "tooling")


def run_numbered(text: str) -> Run | None:
    """Return the run of a shop number such as R-0042."""
    number = numbered(text.upper().removeprefix("R").removeprefix("-"))
    return Run.objects.filter(pk=number).first() if number else None


def numbered(pk_text: str) -> int | None:
    """Return the number in digits that a person typed, or None when it cannot be one."""
    is_number = pk_text.isascii() and pk_text.isdecimal() and len(pk_text) <= MOST_DIGITS
    return int(pk_text) if is_number else None


def stage_of(run: Run, found: list[ChargeBalance]) -> str:
    """Return what a run waits for: load, make, weigh or close; empty when it is closed."""
    if run.closed_at:
        return ""
    waiting = [balance for balance in found if not balance.is_closed]
    if not waiting:
        return "load"
    newest = waiting[-1]
    if not newest.yields:
        return "make"
    return "weigh" if newest.left_mg and not newest.is_within else "close"


@dataclass(frozen=True)
class OpenRun:
    """A run that is not closed, with what it waits for; masses in mg."""

    run: Run
    stage: str
    left_mg: int
    gaps: list[ChargeBalance]

    @property
    def needs_purge(self) -> bool:
        """Whether its machine last worked a polymer that its design does not allow."""
        return needs_purge(self.run)


def needs_purge(run: Run) -> bool:
    """Return whether a run's machine still holds a polymer that its design does not allow."""
    last = run.machine.last_polymer
    if last is None or run.design is None or run.machine.kind not in RETAINING:
        return False
    allowed = list(run.design.polymers.all())
    return bool(allowed) and last not in allowed


def open_runs() -> list[OpenRun]:
    """Return the open runs, newest first, with what each waits for; the same few queries for any number.

    The gaps are those of charges that a later charge has followed: nothing more comes out of them.
    """
    runs = run_list().open().select_related("machine__last_polymer")
    runs = list(runs.prefetch_related("design__polymers"))
    charges = Charge.objects.filter(run__in=runs, lot__closed_at=None, lot__in_mg__gt=0)
    of_run = defaultdict(list)
    for balance in charge_balances(list(charges.select_related("lot"))):
        of_run[balance.charge.run_id].append(balance)
    return [open_run_row(run, of_run[run.pk]) for run in runs]


def open_run_row(run: Run, found: list[ChargeBalance]) -> OpenRun:
    """Return an open run with what it waits for."""
    gaps = [each for each in found[:-1] if each.left_mg and not each.is_within]
    return OpenRun(run, stage_of(run, found), sum(each.left_mg for each in found), gaps)
