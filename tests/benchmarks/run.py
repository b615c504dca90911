"""Build ledgers, measure what must hold, print it and keep it in build/bench.txt.

    python -m tests.benchmarks.run [--size 1000000] [--databases sqlite,postgresql]
        [--only growth,traces,pages,lists,scans,verify,postings] [--reuse]

A large ledger in parts, each by itself, the ledger built by the first and kept:

    make bench-ledger ARGS="--size 5000000 --databases sqlite --only build --reuse"
    make bench-ledger ARGS="--size 5000000 --databases sqlite --only traces --reuse"

and so on; with --smaller the curve has rows of smaller ledgers too. What --reuse keeps
lies in build/bench, and for PostgreSQL in the folder for temporary files; a build that
was broken off leaves nothing. PostgreSQL is started for the purpose, unless --postgres
names the address of a server (without a database) in which databases may be made and
dropped. Not a test: pytest does not collect it, and no figure here decides whether a
change may go in.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from contextlib import contextmanager, nullcontext
from pathlib import Path

import psycopg

from tests.benchmarks.servers import postgres_binary, postgres_cluster
from tests.benchmarks.tables import Figure, table
from tests.benchmarks.timing import load, yardstick

ROOT = Path(__file__).parents[2]
PLACE = ROOT / "build" / "bench"
REPORT = ROOT / "build" / "bench.txt"
ALL_PARTS = "growth,traces,pages,lists,scans,verify,postings"
KNOWN_PARTS = {"build", *ALL_PARTS.split(",")}
KEPT_POSTGRES = Path(tempfile.gettempdir()) / "bench-postgres-kept"
SMALLER = (10_000, 100_000, 1_000_000)
GROWTH = [
    *("ledger", "closure", "median ms", "best", "us per transfer", "sweep", "networkx"),
    *("plain SQL", "call / sweep", "networkx / call", "plain SQL / call", "load"),
]  # as growth.py measures; not imported, for that needs a database


class Report:
    """What is printed and kept."""

    def __init__(self):
        REPORT.parent.mkdir(exist_ok=True)
        self.file = REPORT.open("w")
        self.failed = False

    def say(self, text: str) -> None:
        print(text, flush=True)  # noqa: T201
        self.file.write(text + "\n")
        self.file.flush()


def options_of(arguments) -> argparse.Namespace:
    """Return what was asked for."""
    parser = argparse.ArgumentParser(prog="tests.benchmarks.run")
    parser.add_argument("--size", "--transfers", dest="transfers", type=int, default=1_000_000)
    parser.add_argument("--databases", default="sqlite,postgresql")
    parser.add_argument("--only", "--parts", dest="parts", default=ALL_PARTS)
    parser.add_argument("--smaller", action="store_true", help="smaller ledgers beside it")
    parser.add_argument("--postgres", default="", help="postgres://user@host:port")
    parser.add_argument("--reuse", action="store_true", help="keep ledgers, take those kept")
    options = parser.parse_args(arguments)
    if unknown := {*options.parts.split(",")} - KNOWN_PARTS:
        parser.error(f"no such part: {', '.join(sorted(unknown))}")
    return options


def sizes_of(options) -> list[int]:
    """Return the sizes of the ledgers to build, the asked one last."""
    wants_smaller = options.smaller or options.parts == ALL_PARTS
    smaller = [size for size in SMALLER if size < options.transfers and wants_smaller]
    return [*smaller, options.transfers]


@contextmanager
def sqlite_addresses(options):
    """Yield a function from size to address."""
    PLACE.mkdir(parents=True, exist_ok=True)

    def address(size: int) -> str:
        path = PLACE / f"ledger-{size}.sqlite3"
        if not options.reuse:
            for old in PLACE.glob(f"{path.name}*"):
                old.unlink()
        return f"sqlite:///{path}"

    yield address
    if not options.reuse:
        for old in PLACE.glob("ledger-*"):
            old.unlink()


@contextmanager
def postgres_addresses(options):
    """Yield a function from size to address."""
    kept = KEPT_POSTGRES if options.reuse else None
    cluster = nullcontext(options.postgres) if options.postgres else postgres_cluster(kept)
    with cluster as server:

        def address(size: int) -> str:
            name = f"bench_{size}"
            with psycopg.connect(f"{server}/postgres", autocommit=True) as link:
                if not options.reuse:
                    link.execute(f"DROP DATABASE IF EXISTS {name}")
                there = link.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name])
                if not there.fetchone():
                    link.execute(f"CREATE DATABASE {name} TEMPLATE template0")
            return f"{server}/{name}"

        yield address


ADDRESSES = {"sqlite": sqlite_addresses, "postgresql": postgres_addresses}


def measure_one(address: str, size: int, parts: str, report: Report) -> dict:
    """Measure one ledger in a process of its own; return its figures and growth rows."""
    environment = os.environ | {
        "DATABASE_URL": address,
        "DJANGO_SETTINGS_MODULE": "tests.benchmarks.settings",
        "PYTHONPATH": str(ROOT),
    }
    command = [sys.executable, "-m", "tests.benchmarks.one", "--transfers", str(size)]
    child = subprocess.Popen(
        [*command, "--parts", parts],
        env=environment,
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    for line in child.stderr:
        report.say(line.rstrip("\n"))
    answer = child.stdout.read()
    if child.wait():
        report.failed = True
        return {"figures": [], "growth": []}
    return json.loads(answer.strip().splitlines()[-1])


def measure_database(database: str, options, report: Report) -> None:
    """Measure every size on one database and print its tables."""
    figures, growth = [], []
    report.say(f"\n=== {database} (load {load()}; {yardstick()}) ===")
    with ADDRESSES[database](options) as address:
        for size in sizes_of(options):
            parts = options.parts if size == options.transfers else "growth"
            outcome = measure_one(address(size), size, parts, report)
            figures += [Figure(**figure) for figure in outcome["figures"]]
            growth += outcome["growth"]
    if growth:
        report.say(f"\nGrowth of a trace back on {database}, ms\n{table(GROWTH, growth)}")
    rows = [figure.row() for figure in figures]
    head = ["what", "figure", "hold", "", "beside"]
    report.say(f"\nFigures on {database}\n{table(head, rows)}")
    report.say(f"load {load()}; {yardstick()}")
    report.failed |= any(figure.holds is False for figure in figures)


def main(arguments=None) -> int:
    """Measure; 1 when something does not hold."""
    options, report = options_of(arguments), Report()
    for database in options.databases.split(","):
        if database == "postgresql" and not (options.postgres or postgres_binary("initdb")):
            report.say("\nPostgreSQL is not on this machine; skipped.")
            continue
        measure_database(database, options, report)
    report.say(f"\nKept in {REPORT.relative_to(ROOT)}.")
    return 1 if report.failed else 0


if __name__ == "__main__":
    sys.exit(main())
