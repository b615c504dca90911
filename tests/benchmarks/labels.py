"""A thousand labels on a sheet: how long they take, and how much memory.

    python -m tests.benchmarks.labels

Each case runs in a process of its own, so that its peak is its own and the loading of
type and libraries counts. The figures to hold: under 5 s and 200 MB for 1,000 labels.
"""

import json
import resource
import subprocess
import sys
from random import Random
from time import perf_counter

from inventory.calculations.codes import ALPHABET, LENGTH
from products.calculations.label_geometry import SAMPLE_GRIDS
from products.calculations.label_sheets import sheet_pdf
from products.calculations.label_texts import LabelText, Share
from products.calculations.qr_codes import label_address

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
    started = perf_counter()
    written = sheet_pdf(labels, SAMPLE_GRIDS[grid_number], title="Benchmark")
    seconds = perf_counter() - started
    used = resource.getrusage(resource.RUSAGE_SELF)
    return {
        "seconds": seconds,
        "cpu_s": used.ru_utime + used.ru_stime,
        "peak_mb": used.ru_maxrss / 1024,
        "size": len(written),
    }


def main() -> int:
    """Measure each grid of the tables and return 1 when one of them is over."""
    over = 0
    for number, grid in enumerate(SAMPLE_GRIDS):
        command = [sys.executable, "-m", "tests.benchmarks.labels", str(number)]
        started = perf_counter()
        figures = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)
        whole = perf_counter() - started
        held = whole < MOST_S and figures["peak_mb"] < MOST_MB
        over += not held
        sys.stdout.write(
            f"{grid.name:30} {figures['seconds']:5.2f} s, {whole:5.2f} s with start-up "
            f"({figures['cpu_s']:5.2f} s of one core), "
            f"{1000 * figures['seconds'] / COUNT:5.2f} ms a label, {figures['peak_mb']:5.0f} MB, "
            f"{figures['size'] / COUNT:5.0f} bytes a label: {'held' if held else 'NOT HELD'}\n"
        )
    return min(over, 1)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        sys.stdout.write(json.dumps(measure(int(sys.argv[1]))))
    else:
        sys.exit(main())
