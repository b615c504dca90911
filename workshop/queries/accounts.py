"""A run's account: what went in and what came out, line by line, to the milligram."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from inventory.calculations.codes import group_code
from inventory.models import Lot, Transfer
from inventory.queries.postings import standing_transfers
from workshop.models import Load, Run, Yield
from workshop.queries.runs import ChargeBalance

USEFUL = (Yield.Kind.PART, Yield.Kind.MATERIAL)


@dataclass(frozen=True)
class AccountLine:
    """One line of an account; mass in mg, pieces where they were counted."""

    label: str
    mass_mg: int
    pieces: int = 0


@dataclass(frozen=True)
class Account:
    """Both sides of a run; their sums are equal."""

    ins: list[AccountLine]
    outs: list[AccountLine]
    loaded_mg: int
    useful_mg: int
    pieces: int

    @property
    def in_mg(self) -> int:
        """Sum of the lines that went in, in mg."""
        return sum(line.mass_mg for line in self.ins)

    @property
    def out_mg(self) -> int:
        """Sum of the lines that came out or are still in the machine, in mg."""
        return sum(line.mass_mg for line in self.outs)

    @property
    def useful_share(self) -> float | None:
        """Parts and material as a share of what was loaded; None before anything was."""
        return self.useful_mg / self.loaded_mg if self.loaded_mg else None


def source_label(load: Load) -> str:
    """Return where a load came from: bin, part, delivery or the charge before."""
    source = load.source
    if load.part:
        return f"{load.part.design.name} {group_code(source.code)}"
    if source.kind == Lot.Kind.CHARGE:
        return str(_("carried over"))
    if source.bin:
        return source.bin.name
    if source.kind == Lot.Kind.DELIVERY:
        return source.delivery.number
    return group_code(source.code)


def account_of(balances: list[ChargeBalance]) -> Account:
    """Return the account of a run's charges.

    What one charge carried into the next stands on neither side. Mass that only the
    scale found at weighing out goes in as weighing gain, so that the sides are equal.
    """
    loaded = loaded_lines(balances)
    loaded_mg = sum(line.mass_mg for line in loaded)
    outs, gain_mg, useful_mg, pieces = given_lines(balances)
    left_mg = sum(balance.left_mg for balance in balances)
    gain = [AccountLine(str(_("found by the scale only")), gain_mg)] if gain_mg else []
    left = [AccountLine(str(_("still in the machine")), left_mg)] if left_mg else []
    return Account(loaded + gain, outs + left, loaded_mg, useful_mg, pieces)


def loaded_lines(balances: list[ChargeBalance]) -> list[AccountLine]:
    """Return what was loaded, one line for each place it came from, in loading order."""
    sums, counts = defaultdict(int), defaultdict(int)
    for balance in balances:
        for load in balance.loads:
            if load.source.kind != Lot.Kind.CHARGE:
                sums[source_label(load)] += load.mass_mg
                counts[source_label(load)] += load.pieces
    return [AccountLine(label, mass_mg, counts[label]) for label, mass_mg in sums.items()]


def given_lines(balances: list[ChargeBalance]) -> tuple[list[AccountLine], int, int, int]:
    """Return what came out by kind, with the mg gained, the useful mg and the pieces made."""
    yields = {row.posting_id: row for balance in balances for row in balance.yields}
    sums, gain_mg, useful_mg = defaultdict(int), 0, 0
    for row in outgoing(balances, yields):
        made = yields.get(row.posting_id)
        sums[line_label(row, made)] += row.mass_mg
        gain_mg += row.mass_mg if row.is_gain else 0
        useful_mg += row.mass_mg if made and made.kind in USEFUL else 0
    counts = defaultdict(int)
    for row in yields.values():
        counts[str(Yield.Kind(row.kind).label)] += row.pieces
    lines = [AccountLine(label, mass_mg, counts[label]) for label, mass_mg in sums.items()]
    pieces = sum(row.pieces for row in yields.values() if row.kind == Yield.Kind.PART)
    return lines, gain_mg, useful_mg, pieces


def outgoing(balances: list[ChargeBalance], yields) -> list[Transfer]:
    """Return the standing transfers out of the charges, and those of weighing gains, oldest first."""
    lots = [balance.charge.lot_id for balance in balances]
    gains = Q(posting__in=list(yields), source__kind=Lot.Kind.GAIN)
    rows = standing_transfers().filter(Q(source__in=lots) | gains)
    rows = rows.exclude(target__in=lots).annotate(source_kind=F("source__kind")).order_by("pk")
    found = list(rows)
    for row in found:
        row.is_gain = row.source_kind == Lot.Kind.GAIN
    return found


def line_label(row: Transfer, made: Yield | None) -> str:
    """Return what a transfer out of a charge is called in the account."""
    if made is None:
        return str(row.get_role_display())
    kind = str(Yield.Kind(made.kind).label)
    thrown = not made.is_coded and made.bin_id is None
    return str(_("%(kind)s, thrown away") % {"kind": kind}) if thrown else kind


def undone_entries(run: Run) -> list[tuple[str, Load | Yield]]:
    """Return the loads and yields of a run that were reversed, newest first."""
    undone = {"charge__run": run, "posting__reversed_by__isnull": False}
    loads = Load.objects.filter(**undone).select_related("posting__by", "source__bin")
    yields = Yield.objects.filter(**undone).select_related("posting__by")
    rows = [("load", row) for row in loads] + [("yield", row) for row in yields]
    return sorted(rows, key=lambda row: -row[1].posting_id)
