"""What the book answers to the question of an audit file: plain values, masses in mg, no floats.

Everything is reckoned as the book knew it at a checkpoint; names are those of the day it was asked.
"""

from array import array
from dataclasses import dataclass
from datetime import datetime
from heapq import merge
from itertools import chain

from django.db.models import Max, Q, Sum

from inventory.calculations.digests import clock_text
from inventory.calculations.traces import allocate, origin_shares, uses_of_all
from inventory.calculations.weighing import expanded, quoted, sum_uncertainty
from inventory.models import Change, Checkpoint, Lot, Posting, Transfer
from inventory.queries.checkpoints import WINDOW
from inventory.queries.entries import KEY, leaves_of, spans_of
from inventory.queries.exports import slices
from inventory.queries.lots import lot_label
from inventory.queries.pasts import Past, transfers_then
from inventory.queries.traces import batches, lots_by_key
from inventory.queries.walks import standing_into
from workshop.models import AuditFile
from workshop.queries.audit_questions import Question
from workshop.queries.audit_scopes import (
    BACK,
    FORWARD,
    Scope,
    Unanswerable,
    charges_of,
    in_period,
    midnight,
)
from workshop.queries.runs import run_numbered

Kind = AuditFile.Kind
AT_ONCE = 5_000  # entries or transfers of one statement
ALL = -1  # stands for all lots asked about together; no key is below 1


def known_at_of(checkpoint: Checkpoint) -> datetime:
    """Return when the newest entry that a checkpoint holds was recorded."""
    newest = []
    for model, last in (
        (Posting, checkpoint.last_posting),
        (Change, checkpoint.last_change),
    ):
        near = model.objects.filter(pk__gt=last - WINDOW, pk__lte=last)
        newest.append(near.aggregate(at=Max("recorded_at"))["at"])
    return max(filter(None, newest))


@dataclass(frozen=True)
class Places:
    """The places in the tree of the entries of a scope, in order; of corrections those among the postings."""

    postings: array
    changes: array
    corrections: array

    @property
    def spans(self) -> list[list[int]]:
        """All places as spans."""
        return spans_of(merge(self.postings, self.changes))


def places_named(scope: Scope, checkpoint: Checkpoint) -> Places:
    """Return the places in the tree of all entries of a scope.

    Raises Unanswerable `moving` when the checkpoint lacks one: it came into the book at that moment.
    """
    postings, changes, corrections = (array(KEY) for _ in range(3))
    for some in slices(scope.postings, AT_ONCE):
        rows = Posting.objects.filter(pk__in=some)
        mended = rows.exclude(reverses=None, replaces=None)
        postings.extend(leaves_of(rows, checkpoint))
        corrections.extend(leaves_of(mended, checkpoint))
    for some in slices(scope.changes, AT_ONCE):
        changes.extend(leaves_of(Change.objects.filter(pk__in=some), checkpoint))
    if len(postings) + len(changes) != len(scope.postings) + len(scope.changes):
        raise Unanswerable("moving")
    return Places(*(array(KEY, sorted(each)) for each in (postings, changes, corrections)))


def origins_told(scope: Scope) -> list[dict]:
    """Return what all lots asked about consist of together, by the lots from outside, the most first."""
    if scope.follows != BACK:
        return []
    together = [(lot, ALL, mass_mg, False, "") for lot, mass_mg in scope.roots.items()]
    shares = origin_shares(ALL, [*scope.edges, *together])
    masses = allocate(scope.total_mg, shares)
    lots = lots_by_key(shares)
    ranked = sorted(shares, key=lambda pk: (-masses[pk], pk))
    return [origin_row(lots[pk], masses[pk], shares[pk]) for pk in ranked]


def names_by_key(keys) -> dict[int, dict[str, str]]:
    """Return the code of lots, and what people call them, by key."""
    found = {}
    for some in batches(keys, AT_ONCE):
        lots = lots_by_key(some).items()
        found |= {pk: {"lot": lot.code, "name": lot_label(lot)} for pk, lot in lots}
    return found


def codes_by_key(keys) -> dict[int, str]:
    """Return the codes of lots by key."""
    found = {}
    for some in batches(keys):
        found |= dict(Lot.objects.filter(pk__in=some).values_list("pk", "code"))
    return found


def origin_row(lot, mass_mg: int, share: float) -> dict:
    """Return one origin: the lot, who it came from, what it is, and how much of it."""
    delivery = getattr(lot, "delivery", None)
    return {
        "lot": lot.code,
        "name": lot_label(lot),
        "source": delivery.source.name if delivery else "",
        "class": lot.origin_class,
        "polymer": lot.polymer.symbol if lot.polymer else "",
        "colour": lot.colour.name,
        "told_by": delivery.identified_by if delivery else "",
        "mass_mg": mass_mg,
        "share": f"{share:.9f}",
    }


def whereabouts_told(scope: Scope, known_at: datetime) -> list[dict]:
    """Return who held what of the lots asked about, and what had left, the most first."""
    if scope.follows != FORWARD:
        return []
    held, gone = uses_of_all(scope.roots, scope.edges, taken_mg(scope, known_at))
    whole = round(sum(held.values()) + sum(gone.values()))
    masses = allocate(whole, held | gone) if whole else {}
    names = names_by_key(held)
    rows = [names[pk] | {"fate": ""} for pk in held]
    rows += [{"lot": "", "name": "", "fate": role} for role in gone]
    told = zip(rows, [*held, *gone], strict=True)
    return sorted(
        (
            row | {"mass_mg": masses[key], "share": f"{masses[key] / whole:.9f}"}
            for row, key in told
        ),
        key=lambda row: (-row["mass_mg"], row["lot"], row["fate"]),
    )


def taken_mg(scope: Scope, known_at: datetime) -> dict[int, int]:
    """Return what each lot that gave something on the way had taken, from wherever, in mg."""
    givers = {edge[0] for edge in scope.edges} | scope.roots.keys()
    rows = transfers_then(Past(known_at=known_at)).order_by()
    found = {}
    for some in batches(givers):
        taken = rows.filter(target__in=some).values_list("target").annotate(mg=Sum("mass_mg"))
        found |= dict(taken)
    return found


def weighed_rows(question: Question, scope: Scope, known_at: datetime):
    """Return the transfers that made the mass asked about; of a run also what came out of its charges."""
    past = Past(known_at=known_at)
    if question.kind == Kind.PERIOD:
        postings = in_period(Posting.objects.all(), question, known_at).order_by()
        rows = transfers_then(past).filter(posting__in=postings, source=None)
    elif question.kind == Kind.RUN:
        charges = charges_of(run_numbered(question.subject))
        rows = transfers_then(past).filter(Q(target__in=charges) | Q(source__in=charges))
    else:
        found = (standing_into(some, known_at=known_at) for some in batches(scope.roots))
        made = (row for row in chain(*found) if not is_of_a_bag(row, scope))
        return sorted(made, key=lambda row: (row.posting_id, row.pk))
    rows = rows.select_related("posting", "scale", "source", "target")
    return rows.order_by("posting", "pk").iterator(AT_ONCE)


def is_of_a_bag(row: Transfer, scope: Scope) -> bool:
    """Whether a transfer took pieces out of a bag that is asked about too: its weighing is theirs."""
    return row.role == Transfer.Role.PIECES and row.source_id in scope.roots


def weighing_row(row: Transfer) -> dict:
    """Return one mass that became known: how, on which scale, with which standard uncertainty in micrograms."""
    return {
        "entry": row.posting.number,
        "lot": (row.target or row.source).code,
        "role": row.role,
        "mass_mg": row.mass_mg,
        "basis": row.basis,
        "scale": row.scale.name if row.scale else None,
        "resolution_mg": row.scale.resolution_mg if row.scale else None,
        "uncertainty_ug": row.uncertainty_ug,
    }


def combined(weighings: list[dict]) -> dict:
    """Return the uncertainty of the weighings together: u, and U = 2 u, as exact as kept and as quoted.

    Independent weighings add in squares (JCGM 100, 5.1.2); see `inventory/calculations/weighing.py`.
    """
    standard_ug = sum_uncertainty(row["uncertainty_ug"] for row in weighings)
    known = [row for row in weighings if row["uncertainty_ug"]]
    return {
        "count": len(weighings),
        "known": len(known),
        "known_mg": sum(row["mass_mg"] for row in known),
        "standard_ug": round(standard_ug),
        "expanded_ug": round(expanded(standard_ug)),
        "quoted_mg": quoted(expanded(standard_ug) / 1000),
        "coverage": 2,
    }


def held_mg(question: Question, scope: Scope, known_at: datetime) -> int | None:
    """Return what was left in a lot that its origins are asked of, in mg; None of anything else."""
    if question.kind != Kind.LOT or scope.follows != BACK:
        return None
    rows = transfers_then(Past(known_at=known_at)).order_by()
    lots = list(scope.roots)
    return mg_of(rows.filter(target__in=lots)) - mg_of(rows.filter(source__in=lots))


def balance_told(question: Question, known_at: datetime) -> dict:
    """Return what came in and went out, of the charges of a run or of the workshop in a period, in mg."""
    if question.kind == Kind.RUN:
        return run_balance(question, known_at)
    return period_balance(question, known_at) if question.kind == Kind.PERIOD else {}


def run_balance(question: Question, known_at: datetime) -> dict:
    """Return what was loaded into a run, what it became, and what was in its charges still."""
    charges = charges_of(run_numbered(question.subject))
    rows = transfers_then(Past(known_at=known_at)).order_by()
    carried = {"role": Transfer.Role.CARRIED, "source__in": charges}
    into = rows.filter(target__in=charges).exclude(**carried)
    out = by_role(rows.filter(source__in=charges).exclude(**carried, target__in=charges))
    in_mg = mg_of(into)
    return {"in_mg": in_mg, "out_mg": out, "left_mg": in_mg - sum(out.values())}


def period_balance(question: Question, known_at: datetime) -> dict:
    """Return the stock before the first day and after the last, and what crossed the workshop's border."""
    rows = transfers_then(Past(known_at=known_at)).order_by()
    before = rows.filter(posting__happened_at__lt=midnight(question.since))
    within = rows.filter(
        posting__in=in_period(Posting.objects.all(), question, known_at).order_by()
    )
    opening_mg = mg_of(before.filter(source=None)) - mg_of(before.filter(target=None))
    in_mg, out = mg_of(within.filter(source=None)), by_role(within.filter(target=None))
    closing_mg = opening_mg + in_mg - sum(out.values())
    return {"opening_mg": opening_mg, "in_mg": in_mg, "out_mg": out, "closing_mg": closing_mg}


def mg_of(rows) -> int:
    """Return the mass of some transfers in mg."""
    return rows.aggregate(mg=Sum("mass_mg", default=0))["mg"]


def by_role(rows) -> dict[str, int]:
    """Return the mass of some transfers in mg by what it is, in the order of the roles' names."""
    return dict(sorted(rows.values_list("role").annotate(mg=Sum("mass_mg"))))


def checkpoint_told(checkpoint: Checkpoint, known_at: datetime) -> dict:
    """Return a checkpoint in plain values, with when its newest entry was recorded."""
    return {
        "number": checkpoint.number,
        "size": checkpoint.size,
        "root": checkpoint.root,
        "made_at": clock_text(checkpoint.made_at),
        "known_at": clock_text(known_at),
    }


def answer_to(question: Question, scope: Scope, checkpoint: Checkpoint) -> dict:
    """Return the whole answer in plain values but for its words and the places of its entries.

    `is_whole` says of a way ahead that all that came into the lots on it is named, so that it can
    be reckoned from the entries; files that were made before that was so do not say it.
    """
    known_at = known_at_of(checkpoint)
    codes = codes_by_key(scope.roots)
    weighings = [weighing_row(row) for row in weighed_rows(question, scope, known_at)]
    return {
        "asked": {key: value and str(value) for key, value in question.plain().items()},
        "checkpoint": checkpoint_told(checkpoint, known_at),
        "follows": scope.follows,
        "roots": {codes[pk]: mass_mg for pk, mass_mg in scope.roots.items()},
        "total_mg": scope.total_mg,
        "held_mg": held_mg(question, scope, known_at),
        "origins": origins_told(scope),
        "whereabouts": whereabouts_told(scope, known_at),
        "balance": balance_told(question, known_at),
        "weighings": weighings,
        "uncertainty": combined(weighings),
    } | ({"is_whole": True} if scope.follows == FORWARD else {})
