"""Whether the book is still what the rules of the ledger made it.

Every lot is summed again from its standing transfers, every posting is hashed again
from its rows, and the whole graph is walked for rings. Rows are read in one pass each,
never kept, so a ledger of a million transfers is verified in little memory.

Each check yields one line for each row at fault, naming it as people do. The order is
that of `CHECKS`: a fault that explains others stands before them. Apps above hand down the
checks of what they keep on a lot when they start (`also_check`).
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import groupby, islice
from operator import itemgetter

from django.apps import apps
from django.db import connection, models
from django.db.models import F, Max, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.calculations.digests import posting_content, transfer_content
from inventory.calculations.fingerprints import stored_fingerprint
from inventory.calculations.rings import tangled_lots
from inventory.calculations.traces import find_cycle
from inventory.models import Bin, Change, Count, Delivery, Lot, Posting, Transfer
from inventory.queries import lineage_verification, sealed_entries
from inventory.queries.check_words import SENTENCES
from inventory.queries.postings import standing_transfers

AT_ONCE = 5_000
GUARDS = {
    "sqlite": ("no_update", "no_delete", "no_replace"),
    "postgresql": ("no_change", "no_truncate"),
}
WORKING_TRIGGERS = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE tgenabled <> 'D'",
}
SAME_MOMENT = {
    "sqlite": "BEGIN DEFERRED",
    "postgresql": "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
}
HEAD = [
    "pk",
    "uuid",
    "kind",
    "happened_at",
    "recorded_at",
    "by",
    "reference",
    "reason",
    "fingerprint",
    "reverses__uuid",
    "replaces__uuid",
    "digest",
]
CONTENT = [name.removesuffix("__uuid") for name in HEAD[1:-1]]
LINE = [
    "posting",
    "source__code",
    "target__code",
    "mass_mg",
    "role",
    "melted",
    "basis",
    "scale",
    "uncertainty_ug",
]


@contextmanager
def one_moment():
    """Read everything as of one moment while others go on writing."""
    if connection.in_atomic_block:
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(SAME_MOMENT[connection.vendor])
        try:
            yield
        finally:
            cursor.execute("ROLLBACK")


def number(key: int) -> str:
    """Return the number of a posting by its key."""
    return Posting.number_of(key)


def append_only_tables() -> list[str]:
    """Return the tables, of this app and of those above, whose rows are never changed."""
    kept = [model for model in apps.get_models() if getattr(model, "is_append_only", False)]
    return [model._meta.db_table for model in kept]


def missing_guards() -> Iterator[str]:
    """Yield the triggers that are gone or switched off, of every table that is append-only."""
    with connection.cursor() as cursor:
        cursor.execute(WORKING_TRIGGERS[connection.vendor])
        there = {name for (name,) in cursor.fetchall()}
    for table in append_only_tables():
        for guard in GUARDS[connection.vendor]:
            if f"{table}_{guard}" not in there:
                yield f"{table}: trigger {table}_{guard} is missing"


def impossible_masses() -> Iterator[str]:
    """Yield lots that hold less than nothing and transfers of no mass."""
    wrong = Lot.objects.filter(Q(out_mg__lt=0) | Q(out_mg__gt=F("in_mg"))).order_by("pk")
    for code, in_mg, out_mg in wrong.values_list("code", "in_mg", "out_mg").iterator():
        yield f"lot {code}: took {in_mg} mg, gave {out_mg} mg"
    empty = Transfer.objects.filter(mass_mg__lte=0).order_by("pk")
    for key, mass_mg in empty.values_list("posting", "mass_mg").iterator():
        yield f"{number(key)}: a transfer of {mass_mg} mg"


def summed(end: str) -> Coalesce:
    """Return the sum of the standing transfers at one end of a lot, in mg."""
    rows = standing_transfers().filter(**{end: OuterRef("pk")}).order_by()
    return Coalesce(Subquery(rows.values(end).annotate(mg=Sum("mass_mg")).values("mg")), 0)


def wrong_counters() -> Iterator[str]:
    """Yield lots whose counters are not the sums of their standing transfers."""
    lots = Lot.objects.annotate(taken_mg=summed("target"), given_mg=summed("source"))
    wrong = lots.exclude(in_mg=F("taken_mg"), out_mg=F("given_mg")).order_by("pk")
    fields = ("code", "in_mg", "taken_mg", "out_mg", "given_mg")
    for code, in_mg, taken_mg, out_mg, given_mg in wrong.values_list(*fields).iterator():
        yield (
            f"lot {code}: counts {in_mg} mg in and {out_mg} mg out, "
            f"its transfers say {taken_mg} mg and {given_mg} mg"
        )


def crowded_bins() -> Iterator[str]:
    """Yield bins that hold more than one open lot."""
    open_lots = models.Count("lots", filter=Q(lots__out_mg__lt=F("lots__in_mg")))
    for bin in Bin.objects.annotate(open_lots=open_lots).filter(open_lots__gt=1).order_by("pk"):
        codes = ", ".join(bin.lots.open().order_by("pk").values_list("code", flat=True))
        yield f"bin {bin.name}: holds lots {codes} at once"


def wrong_total() -> Iterator[str]:
    """Yield the difference when what came in is not what is held and what went out."""
    sums = masses()
    gap_mg = sums["received_mg"] - sums["held_mg"] - sums["gone_mg"]
    if gap_mg:
        yield (
            f"the book: {sums['received_mg']} mg came in, {sums['held_mg']} mg are held and "
            f"{sums['gone_mg']} mg went out, a difference of {gap_mg} mg"
        )


def masses() -> dict[str, int]:
    """Return what came in, what is held and what went out over the whole book, in mg."""
    standing = standing_transfers()
    held = Lot.objects.aggregate(mg=Sum(F("in_mg") - F("out_mg"), default=0))["mg"]
    total = Sum("mass_mg", default=0)
    return {
        "received_mg": standing.filter(source=None).aggregate(mg=total)["mg"],
        "held_mg": held,
        "gone_mg": standing.filter(target=None).aggregate(mg=total)["mg"],
    }


def wrong_mirrors() -> Iterator[str]:
    """Yield reversals that are not exactly the mirror image of what they reverse."""
    same = ("mass_mg", "role", "melted", "basis", "scale", "uncertainty_ug")
    own = ("posting", "posting__reverses", "source", "target", *same)
    other = [f"reverses__{name}" for name in ("posting", "target", "source", *same)]
    rows = Transfer.objects.filter(reverses__isnull=False).order_by("posting", "pk")
    for posting, *mirror in rows.values_list(*own, *other).iterator(AT_ONCE):
        if mirror[: len(other)] != mirror[len(other) :]:
            yield f"{number(posting)}: a transfer is not the mirror of the one it reverses"
    yield from incomplete_reversals()


def incomplete_reversals() -> Iterator[str]:
    """Yield reversed postings of which a transfer still stands, and transfers reversed by no reversal."""
    left = Transfer.objects.filter(posting__reversed_by__isnull=False, reversed_by__isnull=True)
    for posting in left.order_by("pk").values_list("posting", flat=True).iterator():
        yield f"{number(posting)}: was reversed, yet one of its transfers still stands"
    more = Transfer.objects.filter(posting__reverses__isnull=False, reverses__isnull=True)
    for posting in more.order_by("pk").values_list("posting", flat=True).iterator():
        yield f"{number(posting)}: a reversal with a transfer of its own"


def rings() -> Iterator[str]:
    """Yield a ring of lots that give to each other."""
    edges = standing_transfers().filter(source__isnull=False, target__isnull=False)
    highest = Lot.objects.aggregate(pk=Max("pk"))["pk"] or 0
    pairs = edges.order_by("source").values_list("source", "target")
    tangled = set(tangled_lots(pairs.iterator(AT_ONCE), highest))
    if tangled:
        inner = (pair for pair in pairs.iterator(AT_ONCE) if tangled.issuperset(pair))
        ring = find_cycle([(*pair, 1, False, "") for pair in inner])
        codes = dict(Lot.objects.filter(pk__in=ring).values_list("pk", "code"))
        yield "lots " + " > ".join(codes[pk] for pk in [*ring, ring[0]])


def wrong_replacements() -> Iterator[str]:
    """Yield replacements of postings that were never reversed, and second ones that stand."""
    rows = Posting.objects.filter(replaces__isnull=False).order_by("pk")
    for key in rows.filter(replaces__reversed_by=None).values_list("pk", flat=True).iterator():
        yield f"{number(key)}: replaces a posting that was never reversed"
    standing = Posting.objects.standing().filter(replaces__isnull=False).order_by()
    twice = standing.values("replaces").annotate(times=models.Count("pk")).filter(times__gt=1)
    for row in twice.order_by("replaces"):
        yield f"{number(row['replaces'])}: stands replaced {row['times']} times"


def unbalanced_charges() -> Iterator[str]:
    """Yield closed lots that still hold something."""
    left = Lot.objects.filter(closed_at__isnull=False).exclude(in_mg=F("out_mg")).order_by("pk")
    for code, in_mg, out_mg in left.values_list("code", "in_mg", "out_mg").iterator():
        yield f"lot {code}: closed with {in_mg} mg in and {out_mg} mg out"


def wrong_fingerprints() -> Iterator[str]:
    """Yield postings and changes whose stored request does not give their fingerprint."""
    postings = Posting.objects.order_by("pk").values_list("pk", "request", "fingerprint")
    for key, request, fingerprint in postings.iterator(AT_ONCE):
        if stored_fingerprint(request) != fingerprint:
            yield f"{number(key)}: the request is not the one that was fingerprinted"
    changes = Change.objects.order_by("pk").values_list("uuid", "request", "fingerprint")
    for uuid, request, fingerprint in changes.iterator(AT_ONCE):
        if stored_fingerprint(request) != fingerprint:
            yield f"change {uuid}: the request is not the one that was fingerprinted"


def wrong_digests() -> Iterator[str]:
    """Yield postings whose rows do not give the digest that was written with them."""
    heads = Posting.objects.order_by("pk").values_list(*HEAD).iterator(AT_ONCE)
    lines = Transfer.objects.order_by("posting", "pk").values_list(*LINE).iterator(AT_ONCE)
    groups = groupby(lines, key=itemgetter(0))
    key, group = next(groups, (None, ()))
    for pk, *fields, digest in heads:
        content = posting_content(**dict(zip(CONTENT, fields, strict=True)))
        content["transfers"] = []
        if key == pk:
            content["transfers"] = [transfer_content(*line[1:]) for line in group]
            key, group = next(groups, (None, ()))
        if stored_fingerprint(content) != digest:
            yield f"{number(pk)}: its rows were changed after it was written"


def wrong_deliveries() -> Iterator[str]:
    """Yield deliveries whose net mass did not come into the book, and lots from outside without a record."""
    first = {"reverses": None, "posting__replaces": None}  # a record is kept as it was received
    came = Transfer.objects.filter(target=OuterRef("lot"), source=None, **first).order_by()
    mg = came.values("target").annotate(mg=Sum("mass_mg")).values("mg")
    accepted = Delivery.objects.filter(lot__isnull=False).annotate(
        came_mg=Coalesce(Subquery(mg), 0)
    )
    wrong = accepted.exclude(net_mg=F("came_mg"), code=F("lot__code")).order_by("pk")
    for row in wrong.iterator():
        yield f"{row.number} (lot {row.code}): net {row.net_mg} mg, came in {row.came_mg} mg"
    yield from wrong_origins()


def wrong_origins() -> Iterator[str]:
    """Yield what came from outside into a lot that is no delivery, and delivered lots without a record."""
    kinds = [Lot.Kind.DELIVERY, Lot.Kind.GAIN]
    nowhere = Transfer.objects.filter(source=None, reverses=None).exclude(target__kind__in=kinds)
    for key, code in nowhere.order_by("pk").values_list("posting", "target__code").iterator():
        yield f"{number(key)}: mass came from outside into lot {code}, which was not delivered"
    unrecorded = Lot.objects.filter(kind=Lot.Kind.DELIVERY, delivery=None).order_by("pk")
    for code in unrecorded.values_list("code", flat=True).iterator():
        yield f"lot {code}: came from outside without a delivery"


def held_before(end: str) -> Coalesce:
    """Return what all postings before a count's own moved at one end of its lot, in mg."""
    earlier = {end: OuterRef("lot"), "posting__lt": OuterRef("posting")}
    rows = Transfer.objects.filter(**earlier).order_by().values(end)
    return Coalesce(Subquery(rows.annotate(mg=Sum("mass_mg")).values("mg")), 0)


def moved_by_count(end: str) -> Coalesce:
    """Return what a count's own posting moved over the border that this empty end stands for."""
    role = Transfer.Role.COUNT
    own = Transfer.objects.filter(posting=OuterRef("posting"), role=role, **{end: None})
    mg = own.order_by().values("posting").annotate(mg=Sum("mass_mg")).values("mg")
    return Coalesce(Subquery(mg), 0)


def wrong_counts() -> Iterator[str]:
    """Yield counts whose book or scale is not what their posting corrected or their act said."""
    counts = Count.objects.annotate(
        found_mg=moved_by_count("source"),
        gone_mg=moved_by_count("target"),
        booked_mg=held_before("target") - held_before("source"),
    )
    for row in counts.select_related("bin").order_by("pk").iterator(AT_ONCE):
        moved_mg = row.found_mg - row.gone_mg
        if row.posting_id and (row.difference_mg, row.book_mg) != (moved_mg, row.booked_mg):
            yield (
                f"count {row.uuid} of bin {row.bin.name}: book {row.book_mg} mg, "
                f"scale {row.net_mg} mg, yet {number(row.posting_id)} found {row.booked_mg} mg "
                f"and moved {moved_mg} mg"
            )
    yield from unlike_requests()


def unlike_requests() -> Iterator[str]:
    """Yield counts that are not what their act asked for, and acts that left no count."""
    fields = ("uuid", "shown_mg", "tare_mg", "book_mg")
    counts = {uuid: figures for uuid, *figures in Count.objects.values_list(*fields).iterator()}
    for model, chosen in ((Posting, {"kind": Posting.Kind.COUNT}), (Change, {"verb": "count"})):
        acts = model.objects.filter(**chosen).order_by("pk").values_list("uuid", "request")
        for uuid, request in acts.iterator(AT_ONCE):
            figures = counts.pop(uuid, None)
            if figures is None or figures != asked_for(request, figures[1]):
                yield f"count {uuid}: is not what its act asked for"
    for uuid in counts:
        yield f"count {uuid}: nothing in the book made it"


def asked_for(request: dict, bin_tare_mg: int) -> list[int]:
    """Return the figures that a count must hold; a tare that was not said was the bin's then."""
    reading, seen = request["reading"], request["accepted"]
    tare_mg = bin_tare_mg if reading["tare_mg"] is None else reading["tare_mg"]
    return [reading["shown_mg"], tare_mg, seen["book_mg"]]


Check = Callable[[], Iterator[str]]
CHECKS: dict[str, Check] = (
    {
        "guards": missing_guards,
        "masses": impossible_masses,
        "digests": wrong_digests,
        "fingerprints": wrong_fingerprints,
        "mirrors": wrong_mirrors,
        "replacements": wrong_replacements,
        "counters": wrong_counters,
        "total": wrong_total,
        "bins": crowded_bins,
        "charges": unbalanced_charges,
        "rings": rings,
        "deliveries": wrong_deliveries,
        "counts": wrong_counts,
    }
    | lineage_verification.CHECKS
    | sealed_entries.CHECKS
)


def also_check(checks: dict[str, Check], sentences: dict[str, str]) -> None:
    """Take the checks of an app above, and what each makes sure of; it calls this once when it starts."""
    for kind, check in checks.items():
        CHECKS[kind], SENTENCES[kind] = check, sentences[kind]


def first_fault(most: int = 20) -> tuple[str, list[str]] | None:
    """Return the first kind of fault in the book with the rows at fault, at most so many, or None."""
    for kind, check in CHECKS.items():
        if rows := list(islice(check(), most)):
            return kind, rows
    return None


def figures() -> dict[str, int]:
    """Return how many rows the book has, and its masses in mg."""
    counts = {"postings": Posting, "transfers": Transfer, "lots": Lot, "changes": Change}
    return {name: model.objects.count() for name, model in counts.items()} | masses()
