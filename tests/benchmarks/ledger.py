"""Build a valid ledger of many transfers by bulk insert, the same for the same seed."""

from itertools import cycle
from pathlib import Path
from time import perf_counter

from django.contrib.auth.models import Group, User
from django.core.management.color import no_style
from django.db import connection, transaction

from inventory.actions.materials import load_reference
from inventory.models import Bin, Colour, Delivery, Lot, Mass, Polymer, Posting, Scale, Source
from inventory.models import Transfer as TransferRow
from products.models import Design, Part
from tests.benchmarks.book import Book
from tests.benchmarks.shop import KG, Stream
from workshop.models import Charge, Load, Machine, Run, Yield

REFERENCE = Path(__file__).parents[2] / "fixtures" / "reference_materials.json"
SYMBOLS = ("PE-HD", "PE-LD", "PP", "PS")
COLOURS = 3
TABLETS = 20
PLACES = ("raw", "flake", "offcut")
MACHINES = {"granulate": "granulator", "press": "press", "inject": "injection", "cut": "cutter"}
COUNTED = (Posting, TransferRow, Lot, Delivery, Part, Run, Charge, Load, Yield)
FULL_SIZE = 1_000_000
TELL_EVERY = 100_000


class Shop:
    """What stands in the workshop before the first delivery, and the records beside the book."""

    classes = ("post-consumer", "post-consumer", "pre-consumer", "virgin", "unknown")

    def __init__(self, transfers: int):
        self.season_scale = min(1, max(0.02, transfers / FULL_SIZE))
        self.landmarks = []
        self.people = [make_operator(number) for number in range(TABLETS)]
        self.scale = Scale.objects.create(
            name="Floor scale", capacity_mg=150 * KG, resolution_mg=20_000
        )
        self.uncertainty_ug = Mass.weighed(KG, self.scale).uncertainty_ug
        self.sources = [Source.objects.create(name=f"Source {n:02d}") for n in range(40)]
        self.machines = {
            operation: Machine.objects.create(name=f"{kind} one", kind=kind)
            for operation, kind in MACHINES.items()
        }
        self.designs = {
            operation: Design.objects.create(
                name=f"{operation} design",
                made_by=operation,
                form="sheet" if operation == "press" else "part",
                tracked="bag" if operation == "inject" else "piece",
                nominal_mass_mg=4 * KG,
            )
            for operation in ("press", "inject", "cut")
        }
        colours = list(Colour.objects.filter(is_mixed=False)[:COLOURS])
        polymers = [Polymer.objects.get(symbol=symbol) for symbol in SYMBOLS]
        self.materials = [(polymer, colour) for colour in colours for polymer in polymers]
        self.bins = [self.make_bins(number) for number in range(len(self.materials))]

    def make_bins(self, number: int) -> dict[str, Bin]:
        """Return the bins of a stream by what stands in them."""
        polymer, colour = self.materials[number]
        return {
            place: Bin.objects.create(
                name=f"{place[0].upper()}-{number:02d}",
                place=f"shelf {number}",
                tare_mg=KG,
                capacity_mg=1000 * KG,
                polymer=polymer,
                colour=colour,
            )
            for place in PLACES
        }

    def write_delivery(self, lot, mass, source, entry) -> None:
        """Write the record of a delivery."""
        rows = self.book.rows
        key, uuid = rows.next_key("inventory_delivery"), rows.uuid(entry.uuid)
        day, at = entry.happened_at.date(), rows.moment(entry.happened_at)
        scale = mass.scale.pk if mass.scale else None
        what = (lot.polymer_id, "mark", lot.colour_id, lot.form, lot.origin_class)
        papers = ("crates", "clean", "", "", "", "")
        head = (key, uuid, lot.code, source.pk, str(day), None, None, mass.mg, scale)
        rows.add("inventory_delivery", *head, *what, *papers, entry.by.pk, at, lot.pk, "")

    def write_run(self, job) -> None:
        """Write the record of a closed run."""
        rows = self.book.rows
        opened, closed = rows.moment(job.opened_at), rows.moment(self.book.at)
        design = job.design.pk if job.design else None
        machine, uuid = self.machines[job.operation].pk, rows.uuid(self.book.uuid())
        what = (job.pk, job.code, uuid, job.operation, machine, None, design)
        operator = self.people[0].pk
        rows.add("workshop_run", *what, operator, None, "", "", opened, closed, False, "")


def make_operator(number: int) -> User:
    """Return an operator who has no password."""
    person = User.objects.create_user(f"tablet-{number:02d}")
    person.groups.add(Group.objects.get(name="operator"))
    return person


def build(transfers: int, seed: int = 2, say=print) -> dict:
    """Fill the empty default database; return what was built and the seconds it took."""
    began = perf_counter()
    load_reference(REFERENCE)
    ease_sqlite()
    with transaction.atomic():
        shop = Shop(transfers)
        shop.book = book = Book(connection, shop.people, seed)
        streams = [Stream(book, shop, number) for number in range(len(shop.materials))]
        jobs = cycle([stream.work() for stream in streams])
        told = 0
        while book.transfers < transfers:
            next(next(jobs))
            if book.transfers >= told + TELL_EVERY:
                told = book.transfers
                say(progress(told, transfers, perf_counter() - began))
        book.finish_all()
    settle_database()
    return {
        "seconds": perf_counter() - began,
        "landmarks": [lot for lot in shop.landmarks if lot],
        **{model._meta.db_table: model.objects.count() for model in COUNTED},
    }


def progress(done: int, wanted: int, seconds: float) -> str:
    """Return how far a build is and how long the rest will take at this pace."""
    pace = done / seconds
    left = (wanted - done) / pace
    return f"  {done:,} of {wanted:,} transfers, {pace:,.0f} a second, {left:,.0f} s to go"


def ease_sqlite() -> None:
    """Spare SQLite the second copy of the pages while there is nothing to lose."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode=MEMORY")
            cursor.execute("PRAGMA synchronous=OFF")
            cursor.execute("PRAGMA cache_size=-200000")


def settle_database() -> None:
    """Set the counters of the keys and let the database learn what it holds."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), COUNTED):
            cursor.execute(statement)
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA journal_mode=WAL")
            cursor.execute("ANALYZE")
        else:
            cursor.execute("VACUUM ANALYZE")
    connection.close()
