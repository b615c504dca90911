"""Reading the ledger: what a posting did and what stands in the way of undoing it."""

from uuid import UUID

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from inventory.calculations.codes import group_code, grouped_codes
from inventory.models import Change, Hold, Lot, Material, Posting, Transfer

PLACE = Coalesce("posting__replaces_id", "posting_id")  # of a transfer
SPOKEN_FOR = _("Pieces of an open visit came out of %(lot)s; settle the visit first.")
TAKE_APART = _("%(lot)s is put together with other parts; take it apart first.")
LONGEST_NUMBER = 15  # digits of a shop number; more would not fit the database's whole numbers


def standing_transfers() -> QuerySet[Transfer]:
    """Transfers that count: neither reversals nor reversed."""
    return Transfer.objects.standing()


def place_of(posting: Posting) -> int:
    """Return the place in the book that a posting holds: that of what it replaces, or its own."""
    return posting.replaces_id or posting.pk


def taken_materials(lot: Lot) -> list[Material]:
    """Return the materials of the lots that a lot's standing contents came from."""
    taken = standing_transfers().filter(target=lot, source__isnull=False)
    rows = taken.select_related("source__polymer", "source__colour")
    return [row.source.material for row in rows]


def later_postings(posting: Posting) -> list[Posting]:
    """Return standing postings that took from what this posting filled, oldest first."""
    filled = posting.transfers.filter(target__isnull=False).values("target")
    later = standing_transfers().filter(source__in=filled).exclude(posting=posting)
    return list(Posting.objects.filter(pk__in=later.values("posting")).order_by("pk"))


def bin_fillers(posting: Posting) -> list[Posting]:
    """Return later standing postings that filled the bins which a reversal would fill again, oldest first.

    They count even when the bin is empty now: had the posting not been made, what they
    poured in would have met what was there, and whatever came of it would consist of both.
    """
    gave = posting.transfers.filter(source__bin__isnull=False).values_list("source", "source__bin")
    bins = dict(gave)  # asked first: PostgreSQL was seen to join all of it in the worst order
    if not bins:
        return []
    later = standing_transfers().annotate(place=PLACE).filter(place__gt=place_of(posting))
    fillers = later.filter(target__bin__in=set(bins.values())).exclude(target__in=bins)
    return list(Posting.objects.filter(pk__in=fillers.values("posting")).order_by("pk"))


def named(postings: list[Posting]) -> str:
    """Return postings as a short list for a sentence."""
    shown = [
        f"{each.number} ({each.get_kind_display()} {grouped_codes(each.reference)})"
        for each in postings[:5]
    ]
    more = len(postings) - len(shown)
    return ", ".join(shown) + (f" +{more}" if more > 0 else "")


def hindrances(posting: Posting):
    """Yield (code, sentence, facts) for each reason why a posting cannot be reversed now."""
    if posting.reverses_id:
        yield "is-reversal", _("A reversal cannot be reversed; enter the act again."), {}
        return
    if Posting.objects.filter(reverses=posting).exists():
        yield (
            "already-reversed",
            _("This posting was reversed before; nothing is left to undo."),
            {},
        )
        return
    yield from lots_bound(posting)
    held = Hold.objects.open().filter(lot__taken__posting=posting, lot__taken__source__isnull=False)
    if held.exists():
        yield "on-hold", _("What it filled is on hold; the lead lifts the hold first."), {}
    yield from places_taken(posting)


def lots_bound(posting: Posting):
    """Yield the closed charges, assembled parts and fills spoken for among a posting's lots, one of each."""
    ends = posting.transfers.order_by().values_list("source", "target")
    touched = Lot.objects.filter(pk__in={pk for pair in ends for pk in pair if pk})
    if closed := touched.filter(closed_at__isnull=False).first():
        sentence = _("Charge %(code)s is closed; the lead reopens its run first.")
        yield "closed", sentence, {"code": group_code(closed.code)}
    if assembled := touched.filter(assembled_at__isnull=False).first():
        yield "assembled", TAKE_APART, {"lot": group_code(assembled.code)}
    if used := touched.filter(spoken_for_mg__isnull=False).select_related("bin").first():
        yield "spoken-for", SPOKEN_FOR, {"lot": str(used.bin or used)}


def standing_in_the_way(posting: Posting) -> list[str]:
    """Return the sentences that say why a posting cannot be reversed now; none when it can."""
    return [str(sentence) % facts for _code, sentence, facts in hindrances(posting)]


def places_taken(posting: Posting):
    """Yield the later postings that used what this one filled or filled what it emptied."""
    if later := later_postings(posting):
        sentence = _("Later postings used what this one filled; reverse these first: %(postings)s.")
        yield "later-postings", sentence, {"postings": named(later)}
    if fillers := bin_fillers(posting):
        sentence = _("The bin was filled again since; reverse these first: %(postings)s.")
        yield "later-postings", sentence, {"postings": named(fillers)}
    retired = posting.transfers.filter(source__bin__retired_at__isnull=False)
    if row := retired.select_related("source__bin").first():
        sentence = _("Bin %(bin)s is retired; its contents cannot go back into it.")
        yield "retired", sentence, {"bin": row.source.bin.name}


def posting_rows(transfers: QuerySet[Transfer]) -> QuerySet[Transfer]:
    """Return transfers with all that a history row prints, in one query."""
    ends = ("source__bin", "source__delivery", "target__bin", "target__delivery")
    return transfers.select_related("posting__by", "scale", *ends).order_by("-posting_id", "id")


def history_rows(transfers: QuerySet[Transfer]) -> QuerySet[Transfer]:
    """Return transfers with what one line of a history prints, and no more, in one query.

    With all columns of all that is named in a line, the rows of a bin's page took twice as long.
    """
    of_lots = ("kind", "code", "bin__name", "bin__code", "delivery__lot")
    ends = [f"{end}__{field}" for end in ("source", "target") for field in of_lots]
    who = [f"posting__by__{field}" for field in ("username", "first_name", "last_name")]
    what = [f"posting__{field}" for field in ("uuid", "happened_at", "reference", "reason")]
    own = ("mass_mg", "role", "reverses")
    related = ("posting__by", "source__bin", "source__delivery", "target__bin", "target__delivery")
    rows = transfers.select_related(*related).only(*own, *what, *who, *ends)
    return rows.annotate(undone_by=F("posting__reversed_by")).order_by("-posting_id", "id")


# What is carried over in a bin, and what comes from outside into a gain only to go on from there, or back.
NO_MOVEMENT = (
    Q(role=Transfer.Role.REMAINDER)
    | Q(source__isnull=True, target__kind=Lot.Kind.GAIN)
    | Q(target__isnull=True, source__kind=Lot.Kind.GAIN)
)


def posting_list() -> QuerySet[Posting]:
    """Return every posting with the mass that moved by it, in mg, and what it is to others.

    What was left in a bin is carried over by the same posting and is no movement of its own.
    """
    moved = Transfer.objects.filter(posting=OuterRef("pk")).exclude(NO_MOVEMENT)
    sums = moved.order_by().values("posting").annotate(mg=Sum("mass_mg")).values("mg")
    related = ("by", "reverses", "reversed_by", "replaces")
    return Posting.objects.select_related(*related).annotate(moved_mg=Subquery(sums))


def mass_moved(posting: Posting) -> int:
    """Return the mg that moved by a posting, without what was left in a bin and carried over."""
    moved = posting.transfers.exclude(NO_MOVEMENT)
    return moved.aggregate(mg=Sum("mass_mg", default=0))["mg"]


def posting_numbered(text: str) -> Posting | None:
    """Return the posting of a number such as P-00042."""
    digits = text.strip().upper().removeprefix("P-")
    is_number = digits.isdecimal() and len(digits) <= LONGEST_NUMBER
    return Posting.objects.filter(pk=int(digits)).first() if is_number else None


def lot_history(lot: Lot) -> QuerySet[Transfer]:
    """Return every transfer into or out of a lot, reversed ones included, newest first."""
    return history_rows(Transfer.objects.filter(Q(source=lot) | Q(target=lot)))


def was_done(key: UUID | str | None) -> bool:
    """Return whether the act of a client's UUID is in the book already."""
    try:
        uuid = UUID(str(key))
    except ValueError:
        return False
    rows = (model.objects.filter(uuid=uuid) for model in (Posting, Change))
    return any(found.exists() for found in rows)
