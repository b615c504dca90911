"""Reading the ledger: what a posting did and what stands in the way of undoing it."""

from django.db.models import F, Q, QuerySet
from django.utils.translation import gettext_lazy as _

from inventory.models import Hold, Lot, Material, Posting, Transfer


def standing_transfers() -> QuerySet[Transfer]:
    """Transfers that count: neither reversals nor reversed."""
    return Transfer.objects.filter(reverses__isnull=True, reversed_by__isnull=True)


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


def bins_taken_since(posting: Posting) -> list[Lot]:
    """Return open lots that now stand in the bins which a reversal would fill again."""
    gave = posting.transfers.filter(source__bin__isnull=False)
    sources = Lot.objects.filter(pk__in=gave.values("source"))
    filled = posting.transfers.values("target")
    in_the_way = Lot.objects.open().filter(bin__in=sources.values("bin"))
    return list(
        in_the_way.exclude(pk__in=sources).exclude(pk__in=filled.filter(target__isnull=False))
    )


def named(postings: list[Posting]) -> str:
    """Return postings as a short list for a sentence."""
    shown = [f"{each.number} ({each.get_kind_display()} {each.reference})" for each in postings[:5]]
    more = len(postings) - len(shown)
    return ", ".join(shown) + (f" +{more}" if more > 0 else "")


def hindrances(posting: Posting):
    """Yield (code, sentence, facts) for each reason why a posting cannot be reversed now."""
    if posting.reverses_id:
        yield "is-reversal", _("A reversal cannot be reversed; enter the act again."), {}
    if Posting.objects.filter(reverses=posting).exists():
        yield (
            "already-reversed",
            _("This posting was reversed before; nothing is left to undo."),
            {},
        )
    touched = Q(given__posting=posting) | Q(taken__posting=posting)
    if closed := Lot.objects.filter(touched, closed_at__isnull=False).first():
        sentence = _("Charge %(code)s is closed; the lead reopens its run first.")
        yield "closed", sentence, {"code": closed.code}
    held = Hold.objects.open().filter(lot__taken__posting=posting, lot__taken__source__isnull=False)
    if held.exists():
        yield "on-hold", _("What it filled is on hold; the lead lifts the hold first."), {}
    yield from places_taken(posting)


def places_taken(posting: Posting):
    """Yield the later postings that used what this one filled or filled what it emptied."""
    if later := later_postings(posting):
        sentence = _("Later postings used what this one filled; reverse these first: %(postings)s.")
        yield "later-postings", sentence, {"postings": named(later)}
    if lots := bins_taken_since(posting):
        fillers = Posting.objects.filter(pk__in=[lot.filled_by_id for lot in lots]).order_by("pk")
        sentence = _("The bin was filled again since; reverse these first: %(postings)s.")
        yield "later-postings", sentence, {"postings": named(list(fillers))}
    retired = posting.transfers.filter(source__bin__retired_at__isnull=False)
    if row := retired.select_related("source__bin").first():
        sentence = _("Bin %(bin)s is retired; its contents cannot go back into it.")
        yield "retired", sentence, {"bin": row.source.bin.name}


def posting_rows(transfers: QuerySet[Transfer]) -> QuerySet[Transfer]:
    """Return transfers with all that a history row prints, in one query."""
    related = ("posting__by", "source__bin", "target__bin", "scale")
    return transfers.select_related(*related).order_by("-posting_id", "id")


def lot_history(lot: Lot) -> QuerySet[Transfer]:
    """Return every transfer into or out of a lot, reversed ones included, newest first."""
    return posting_rows(Transfer.objects.filter(Q(source=lot) | Q(target=lot))).annotate(
        undone_by=F("posting__reversed_by")
    )
