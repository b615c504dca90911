"""The one function that posts, and its undoing.

A posting names lines: mass from a lot to a lot, or from or to the outside. Outgoing
counters move first, then incoming ones, so that a bin never seems to hold two open lots.
The conditional updates are the last word when two tablets race for one bin.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.holds import hold_what_came_back
from inventory.actions.locks import lock_bins, lock_lots
from inventory.actions.refusals import refusal
from inventory.actions.rows import write_rows
from inventory.calculations.digests import posting_content, posting_digest, transfer_content
from inventory.calculations.fingerprints import fingerprint
from inventory.models import Bin, Lot, Mass, Posting, Transfer
from inventory.queries.blends import combined_material
from inventory.queries.lots import lot_label
from inventory.queries.masses import bulk_said
from inventory.queries.postings import SPOKEN_FOR, TAKE_APART, hindrances, taken_materials

CHARGE = Lot.Kind.CHARGE
# Written out, since every act that moves mass comes by here: Django would take longer to word
# them than the database to do them.
GIVE = """
UPDATE inventory_lot SET out_mg = out_mg + %s
WHERE id = %s AND closed_at IS NULL AND assembled_at IS NULL
AND in_mg >= out_mg + COALESCE(spoken_for_mg, 0) + %s
"""
TAKE = """
UPDATE inventory_lot
SET in_mg = in_mg + %s, filled_by_id = %s, polymer_id = %s, colour_id = %s, form = %s
WHERE id = %s AND closed_at IS NULL AND out_mg = 0 AND spoken_for_mg IS NULL
"""


@dataclass(frozen=True)
class Line:
    """One transfer to be posted; a source or target of None is the outside."""

    source: Lot | None
    target: Lot | None
    mass: Mass
    role: str
    melted: bool = False


def post(*, act: Act, kind: str, lines: list[Line], request: dict, reference: str = "") -> Posting:
    """Post lines that one act made: move the counters, then write posting and transfers.

    New lots among the targets are saved here; only such a lot may take and give in
    one posting. Refuses `mass` unless every line moves something, `short` when a lot would
    give more than it holds, `spoken-for` when more than pieces of open visits left of it,
    `assembled` when it is put together with others, and `sealed` when a lot that has given
    would take.
    """
    if not lines or any(line.mass.mg <= 0 for line in lines):
        raise refusal("mass", _("A mass must be above zero; weigh again."))
    give(lines)
    posting = write_head(act, kind, lines, request, reference)
    take(lines, posting)
    return with_transfers(posting, [transfer_row(posting, line) for line in lines])


def write_head(act, kind, lines, request, reference) -> Posting:
    """Write the posting itself with its fingerprint and digest."""
    posting = Posting(
        uuid=act.key,
        kind=kind,
        happened_at=act.at,
        recorded_at=timezone.now(),
        by=act.by,
        reference=reference,
        reason=act.reason,
        request=request,
        fingerprint=fingerprint(request),
    )
    return written(posting, lines)


def written(posting: Posting, lines: list[Line]) -> Posting:
    """Save a posting with the digest over itself and its lines."""
    posting.digest = posting_digest(head_content(posting), [line_content(line) for line in lines])
    write_rows([posting])
    return posting


def with_transfers(posting: Posting, rows: list[Transfer]) -> Posting:
    """Write the transfers of a posting, and let it know them, so that its answer need not be read."""
    write_rows(rows)
    posting.written_transfers = tuple(rows)
    return posting


def head_content(posting: Posting) -> dict:
    """Return the fields of a posting that its digest covers."""
    return posting_content(
        uuid=posting.uuid,
        kind=posting.kind,
        happened_at=posting.happened_at,
        recorded_at=posting.recorded_at,
        by=posting.by.pk,
        reference=posting.reference,
        reason=posting.reason,
        fingerprint=posting.fingerprint,
        reverses=posting.reverses.uuid if posting.reverses else None,
        replaces=posting.replaces.uuid if posting.replaces else None,
    )


def line_content(line: Line) -> list:
    """Return the fields of a line that the digest covers."""
    return transfer_content(
        line.source.code if line.source else None,
        line.target.code if line.target else None,
        line.mass.mg,
        str(line.role),
        line.melted,
        str(line.mass.basis),
        line.mass.scale.pk if line.mass.scale else None,
        line.mass.uncertainty_ug,
    )


def transfer_row(posting: Posting, line: Line) -> Transfer:
    """Return the unsaved transfer of a line."""
    return Transfer(
        posting=posting,
        source=line.source,
        target=line.target,
        mass_mg=line.mass.mg,
        role=line.role,
        melted=line.melted,
        basis=line.mass.basis,
        scale=line.mass.scale,
        uncertainty_ug=line.mass.uncertainty_ug,
    )


def give(lines: list[Line]) -> None:
    """Move the outgoing counters, in primary-key order."""
    sums, lots = defaultdict(int), {}
    for line in lines:
        if line.source is not None and line.source.pk is not None:
            sums[line.source.pk] += line.mass.mg
            lots[line.source.pk] = line.source
    for pk in sorted(sums):
        if not moved(GIVE, [sums[pk], pk, sums[pk]]):
            raise short(lots[pk])


def take(lines: list[Line], posting: Posting) -> None:
    """Move the incoming counters and save new lots; a lot that has given takes nothing more."""
    sums, lots = defaultdict(int), {}
    for line in lines:
        if line.target is not None:
            sums[line.target.code] += line.mass.mg
            lots[line.target.code] = line.target
    fresh = [lot for lot in lots.values() if lot.pk is None]
    known = [lot for lot in lots.values() if lot.pk is not None]
    for lot in fresh:
        lot.in_mg, lot.filled_by = sums[lot.code], posting
        lot.out_mg = sum(line.mass.mg for line in lines if line.source is lot)
    write_rows(fresh)
    for lot in sorted(known, key=lambda lot: lot.pk):
        material = [lot.polymer_id, lot.colour_id, str(lot.form)]
        if not moved(TAKE, [sums[lot.code], posting.pk, *material, lot.pk]):
            raise refusal(
                "sealed",
                _("Lot %(code)s has already given and takes nothing more; start a new one."),
                code=lot.code,
            )


def moved(statement: str, values: list) -> bool:
    """Move the counters of one lot and return whether they could be, which the statement itself decides."""
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return cursor.rowcount == 1


def short(lot: Lot):
    """Return the refusal of a lot that holds less than is asked of it."""
    lot.refresh_from_db()
    if lot.closed_at:
        sentence = _("%(lot)s is closed; reopen its run first.")
        return refusal("sealed", sentence, lot=lot_label(lot))
    if lot.assembled_at:
        return refusal("assembled", TAKE_APART, lot=lot_label(lot))
    if lot.spoken_for_mg:
        return spoken_for(lot)
    return refusal(
        "short",
        _("%(lot)s holds only %(mass)s; enter less or weigh again."),
        lot=lot_label(lot),
        mass=bulk_said(lot.held_mg),
    )


def spoken_for(lot: Lot):
    """Return the refusal of a fill of which pieces of an open visit took, as its bin says it."""
    return refusal("spoken-for", SPOKEN_FOR, lot=str(lot.bin or lot))


@transaction.atomic
def reverse_posting(*, posting: Posting, act: Act) -> Posting:
    """Undo a posting by appending its mirror image; a repeated UUID changes nothing.

    Refuses `reason`, `is-reversal`, `already-reversed`, `closed`, `assembled`, `spoken-for`,
    `on-hold` and `later-postings`, the last naming the postings that stand in the way.
    """
    request = act.request("reverse", posting=posting.uuid)
    if done := earlier(act, request):
        return done
    need_reason(act)
    transfers = list(posting.transfers.select_related("source", "target", "scale"))
    touched = [lot for row in transfers for lot in (row.source, row.target) if lot]
    lock_bins(*(Bin(pk=lot.bin_id) for lot in touched if lot.bin_id))
    lock_lots(*touched)
    for code, sentence, facts in hindrances(posting):
        raise refusal(code, sentence, **facts)
    return append_mirror(posting, transfers, act, request)


def append_mirror(posting, transfers, act, request) -> Posting:
    """Write the reversal and take the counters back; where a recall stands it stops what holds enough now."""
    mirror = write_mirror(posting, transfers, act, request, recorded_at=timezone.now())
    take_back_counters(transfers, mirror)
    settle_materials(transfers)
    ends = {pk for row in transfers for pk in (row.source_id, row.target_id) if pk}
    hold_what_came_back(ends, act)
    return mirror


def write_mirror(
    posting: Posting, transfers: list[Transfer], act: Act, request: dict, *, recorded_at: datetime
) -> Posting:
    """Write the mirror image of a posting; the counters are moved apart."""
    lines = [mirror_line(row) for row in transfers]
    mirror = Posting(
        uuid=act.key,
        kind=Posting.Kind.REVERSE,
        happened_at=act.at,
        recorded_at=recorded_at,
        by=act.by,
        reference=posting.reference,
        reason=act.reason,
        request=request,
        fingerprint=fingerprint(request),
        reverses=posting,
    )
    written(mirror, lines)
    rows = [transfer_row(mirror, line) for line in lines]
    for row, original in zip(rows, transfers, strict=True):
        row.reverses = original
    return with_transfers(mirror, rows)


def mirror_line(row: Transfer) -> Line:
    """Return the line that takes a transfer back."""
    mass = Mass(row.mass_mg, row.basis, row.scale, row.uncertainty_ug)
    return Line(row.target, row.source, mass, row.role, row.melted)


def take_back_counters(transfers, mirror: Posting) -> None:
    """Lower what targets took, then what sources gave, so that a bin holds one open lot at a time."""
    taken, given = defaultdict(int), defaultdict(int)
    for row in transfers:
        taken[row.target_id] += row.mass_mg
        given[row.source_id] += row.mass_mg
    takers, givers = taken.keys() - {None}, given.keys() - taken.keys() - {None}
    for pk in [*sorted(takers), *sorted(givers)]:
        left = Lot.objects.filter(pk=pk, in_mg__gte=F("out_mg") + taken[pk] - given[pk])
        changes = {"in_mg": F("in_mg") - taken[pk], "out_mg": F("out_mg") - given[pk]}
        if not left.update(**changes, **({"filled_by": mirror} if taken[pk] else {})):
            raise short(Lot.objects.get(pk=pk))


def settle_materials(transfers) -> None:
    """Let a charge that is still filling be again what its standing contents make it.

    Fills need none of this: their material never changes.
    """
    charges = {row.target for row in transfers if row.target and row.target.kind == CHARGE}
    for lot in sorted(charges, key=lambda lot: lot.pk):
        if materials := taken_materials(lot):
            material = combined_material(materials)
            Lot.objects.filter(pk=lot.pk).update(
                polymer=material.polymer, colour=material.colour, form=material.form
            )
