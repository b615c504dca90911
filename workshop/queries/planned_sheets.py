"""Sheets that runs were opened to cut: what of them is loaded, and what is spoken for by open runs."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import Q, Sum
from django.utils.translation import gettext as _

from inventory.calculations.codes import normalise_code
from products.models import Part
from products.queries.spoken_sheets import Claim, Claims, claims, free_pieces, pieces_of
from workshop.models import Load, PlannedSheet, Run
from workshop.queries.runs import STANDING


@dataclass(frozen=True)
class SheetToCut:
    """A sheet that a run is to cut, how many pieces of it, how many of them it loaded, and where it went else."""

    part: Part
    pieces: int
    loaded: int
    gone: str = ""

    @property
    def still(self) -> int:
        """How many pieces are not loaded yet."""
        return max(0, self.pieces - self.loaded)


def sheets_to_cut(run: Run) -> list[SheetToCut]:
    """Return the sheets that a run was opened for, in the order of its plan; few queries, however many."""
    related = ("part__design", "part__lot__polymer", "part__lot__colour")
    rows = list(run.planned_sheets.select_related(*related))
    loaded = loaded_pieces([run.pk]) if rows else {}
    found = [SheetToCut(row.part, row.pieces, loaded.get((run.pk, row.part_id), 0)) for row in rows]
    gone = where_gone(run, [sheet.part.pk for sheet in found if sheet.still])
    return [replace(sheet, gone=gone.get(sheet.part.pk, "")) for sheet in found]


def where_gone(run: Run, parts: list[int]) -> dict[int, str]:
    """Return in words where the parts went that a run has not loaded and that are here no more, by key."""
    here = still_here(parts)
    gone = [part for part in parts if part not in here]
    if not gone:
        return {}
    words = dict.fromkeys(gone, _("not in stock any more"))
    away = Part.objects.in_use().filter(pk__in=gone).values_list("pk", flat=True)
    words |= dict.fromkeys(away, _("handed over"))
    taken = Load.objects.filter(part__in=gone, **STANDING).exclude(charge__run=run)
    for load in taken.select_related("charge__run").order_by("pk"):
        words[load.part_id] = _("taken by %(run)s") % {"run": load.charge.run.number}
    return words


def still_here(parts: Iterable[int]) -> set[int]:
    """Return which parts of some keys are here and not used up; one query, or none."""
    keys = list(parts)
    return (
        set(Part.objects.here().filter(pk__in=keys).values_list("pk", flat=True)) if keys else set()
    )


def loaded_pieces(runs: list[int], *narrowed: Q) -> dict[tuple[int, int], int]:
    """Return how many pieces some runs loaded, by run and part; loads that were reversed do not count."""
    rows = Load.objects.filter(*narrowed, charge__run__in=runs, part__isnull=False, **STANDING)
    found = {}
    for run, part, pieces in rows.values_list("charge__run", "part", "pieces"):
        found[run, part] = found.get((run, part), 0) + pieces
    return found


def open_claims() -> Claims:
    """Return what open runs are still to cut of what is here, by the key of the part; three queries, or one."""
    rows = list(PlannedSheet.objects.filter(run__closed_at=None).select_related("run"))
    here = still_here({row.part_id for row in rows})
    rows = [row for row in rows if row.part_id in here]
    loaded = loaded_pieces(sorted({row.run_id for row in rows})) if rows else {}
    found = {}
    for row in rows:
        still = row.pieces - loaded.get((row.run_id, row.part_id), 0)
        if still > 0:
            claim = Claim(row.run.number, row.run.get_absolute_url(), still)
            found.setdefault(row.part_id, []).append(claim)
    return found


def claims_before(part: Part, moment: datetime) -> list[Claim]:
    """Return what runs that were open at a moment were still to cut of a part, wherever it is now.

    What they loaded of it later does not count. Two queries, or one.
    """
    was_open = Q(run__closed_at=None) | Q(run__closed_at__gt=moment)
    rows = PlannedSheet.objects.filter(was_open, part=part, run__opened_at__lte=moment)
    rows = list(rows.select_related("run"))
    earlier = Q(part=part, posting__recorded_at__lt=moment)
    loaded = loaded_pieces([row.run_id for row in rows], earlier) if rows else {}
    found = [
        Claim(row.run.number, row.run.get_absolute_url(), row.pieces - loaded.get(key, 0))
        for row in rows
        for key in [(row.run_id, row.part_id)]
    ]
    return [claim for claim in found if claim.pieces > 0]


def taken_from(load: Load) -> list[Claim]:
    """Return the claims of other runs for which too little was left when this load was taken.

    It says the same ever after, whatever was loaded since. Four queries, or one.
    """
    if load.part_id is None:
        return []
    before = claims_before(load.part, load.posting.recorded_at)
    others = [claim for claim in before if claim.label != load.charge.run.number]
    if not others:
        return []
    since = Load.objects.filter(part=load.part_id, pk__gte=load.pk, **STANDING)
    gone = since.aggregate(pieces=Sum("pieces", default=0))["pieces"]
    part = Part.objects.select_related("lot").get(pk=load.part_id)
    is_enough = part.pieces_left + gone - pieces_of(others) >= load.pieces
    return [] if is_enough else others


def claims_of_others(found: Claims, run: Run) -> Claims:
    """Return the claims that are not those of a run."""
    kept = {
        part: [claim for claim in each if claim.label != run.number] for part, each in found.items()
    }
    return {part: each for part, each in kept.items() if each}


def claims_note(run: Run, part: Part | None, pieces: int) -> str:
    """Return in a sentence that another open run is to cut what this run would load, or nothing."""
    others = claims_of_others(claims(), run) if part else {}
    if part is None or part.pk not in others or free_pieces(part, others) >= pieces:
        return ""
    sentence = _("%(run)s is open to cut this sheet; loaded here it is missing there.")
    return sentence % {"run": ", ".join(claim.label for claim in others[part.pk])}


def counted_parts(text: str) -> tuple[list[tuple[Part, int]], list[str]]:
    """Return the parts of codes that stand between commas, each with how often, and what is no part's code."""
    counts = {}
    for code in filter(None, (each.strip() for each in text.split(","))):
        counts[code] = counts.get(code, 0) + 1
    codes = {code: normalise_code(code) for code in counts}
    parts = Part.objects.select_related("design", "lot").filter(
        code__in=[code for code in codes.values() if code]
    )
    found = {part.code: part for part in parts}
    known, unknown = {}, []
    for typed, count in counts.items():
        part = found.get(codes[typed])
        if part is None:
            unknown.append(typed)
        else:
            known[part] = known.get(part, 0) + count
    return list(known.items()), unknown
