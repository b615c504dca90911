"""A thousand labels: how long they take and how much memory, drawn alone and printed out of a book.

    python -m tests.benchmarks.labels

Each case runs in a process of its own, so that its peak is its own and the loading of
type counts. A print out of a book is the whole of it: the act and its sheet, by page or API, of a
server that has answered before. The figures to hold: under 5 s and 200 MB for 1,000 labels.
"""

import json
import os
import resource
import subprocess
import sys
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter, process_time

from inventory.calculations.codes import ALPHABET, LENGTH
from products.calculations.label_geometry import SAMPLE_GRIDS
from products.calculations.label_sheets import sheet_pdf
from products.calculations.label_texts import LabelText, Share
from products.calculations.qr_codes import label_address
from tests.benchmarks.timing import load, yardstick

COUNT = 1_000
MOST_S, MOST_MB = 5, 200
SITE = "https://record.workshop.example"
COLOURS = (("white", "#f4f3ee"), ("grey", "#8b8d89"), ("blue", "#2f6db5"), ("red", "#b8352b"))


def label(random: Random, number: int) -> LabelText:
    """Return an invented label that uses every row."""
    code = "".join(random.choices(ALPHABET, k=LENGTH))
    name, srgb = random.choice(COLOURS)
    first = random.randint(40, 90) / 100
    return LabelText(
        code=code,
        address=label_address(SITE, code),
        kind="Part",
        title=f"Stool {number}, small, with three legs",
        mark=">PE-HD<",
        resin_number="2",
        resin_text="HDPE",
        colour_name=name,
        srgb=srgb,
        strip=(Share(name, first, srgb), Share("mixed", 1 - first)),
        mass_text=f"{random.randint(500, 2500) / 1000:.3f}\u00a0kg",
        date_text="12 Mar 2026",
        run_text=f"Run R-{number:04d}",
        place_text="Shelf B2",
        lines=("Take it back to the workshop when it is worn out.",),
    )


def measure(grid_number: int) -> dict:
    """Print one sheet in this process and tell its times (s), peak memory (MB) and size (bytes)."""
    random = Random(20260312)
    labels = [label(random, number) for number in range(COUNT)]
    started, worked = perf_counter(), process_time()
    written = sheet_pdf(labels, SAMPLE_GRIDS[grid_number], title="Benchmark")
    return {
        "seconds": perf_counter() - started,
        "cpu_s": process_time() - worked,
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "size": len(written),
    }


def figures_of(*command: str, **environment: str) -> dict:
    """Return what a step in a process of its own tells on its last line."""
    done = subprocess.run(
        [sys.executable, "-m", *command],
        capture_output=True,
        check=True,
        env=os.environ | environment,
    )
    return json.loads(done.stdout.splitlines()[-1])


def said(what: str, figures: dict) -> bool:
    """Print the figures of a case; return whether they hold.

    Time is judged by the processor's: on a machine that does nothing else the clock shows as much.
    """
    held = figures["cpu_s"] < MOST_S and figures["peak_mb"] < MOST_MB
    sys.stdout.write(
        f"{what:42} {figures['cpu_s']:5.2f} s of one core, {figures['seconds']:5.2f} s by the clock, "
        f"{figures['peak_mb']:4.0f} MB, {figures['size'] / COUNT:5.0f} bytes a label: "
        f"{'held' if held else 'NOT HELD'}\n"
    )
    sys.stdout.flush()
    return held


def main() -> int:
    """Measure each grid of the tables, then a whole print out of a book; 1 when something is over."""
    sys.stdout.write(f"{COUNT:,} labels (load {load()}; {yardstick()})\n")
    held = [
        said(f"drawn: {grid.name}", figures_of("tests.benchmarks.labels", str(number)))
        for number, grid in enumerate(SAMPLE_GRIDS)
    ]
    with TemporaryDirectory() as place:
        book = {
            "DATABASE_URL": f"sqlite:///{place}/book.sqlite3",
            "DJANGO_SETTINGS_MODULE": "tests.settings",
        }
        figures_of("tests.benchmarks.printing", "build", **book)
        for grid in (SAMPLE_GRIDS[0], SAMPLE_GRIDS[3]):
            for way in ("page", "api"):
                figures = figures_of("tests.benchmarks.printing", way, grid.name, **book)
                held.append(said(f"out of a book, {way}: {grid.name}", figures))
    return 0 if all(held) else 1


if __name__ == "__main__":
    if len(sys.argv) > 1:
        sys.stdout.write(json.dumps(measure(int(sys.argv[1]))))
    else:
        sys.exit(main())
