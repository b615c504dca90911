"""Build one ledger in the default database, or take the one that is there, and measure it.

Started by run.py with DATABASE_URL set; the last line is the outcome as JSON.
"""

import argparse
import json
import sys
import traceback

import django

django.setup()

from django.core.management import call_command  # noqa: E402

from inventory.models import Transfer  # noqa: E402
from tests.benchmarks import (  # noqa: E402
    growth,
    ledger,
    lists,
    pages,
    postings,
    scans,
    traces,
    verification,
)
from tests.benchmarks.tables import Figure  # noqa: E402
from tests.benchmarks.timing import load  # noqa: E402

PARTS = {
    "traces": traces.run,
    "pages": pages.run,
    "lists": lists.run,
    "scans": scans.run,
    "verify": verification.run,
    "postings": postings.run,
}


def say(text: str) -> None:
    """Print for people, beside the JSON."""
    print(text, file=sys.stderr, flush=True)  # noqa: T201


def built(transfers: int) -> list[Figure]:
    """Build the ledger unless it is there."""
    call_command("migrate", verbosity=0)
    if Transfer.objects.exists():
        return []
    done = ledger.build(transfers, say=say)
    rows = ", ".join(f"{done[model._meta.db_table]:,} {model.__name__}" for model in ledger.COUNTED)
    say(f"  built in {done['seconds']:.0f} s: {rows}")
    what = f"build a ledger of {done['inventory_transfer']:,} transfers"
    return [Figure(what, f"{done['seconds']:.0f} s", note=f"load {load()}")]


def measured(part: str) -> list[Figure]:
    """Return the figures of a part; one that breaks is a figure that does not hold."""
    try:
        return PARTS[part](say)
    except Exception:  # the other parts are still worth measuring
        say(traceback.format_exc())
        return [Figure(part, "broke", holds=False)]


def main() -> None:
    """Build, measure, print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--transfers", type=int, required=True)
    parser.add_argument("--parts", default="")
    options = parser.parse_args()
    figures = built(options.transfers)
    parts = options.parts.split(",")
    rows = growth.run(say) if "growth" in parts else []
    for part in parts:
        if part in PARTS:
            figures += measured(part)
    outcome = {"figures": [figure.plain() for figure in figures], "growth": rows}
    print(json.dumps(outcome))  # noqa: T201


main()
