"""How long verify_ledger takes over the whole book, and how much memory."""

import os
import subprocess
import sys
from pathlib import Path
from time import monotonic

from tests.benchmarks.tables import Figure
from tests.benchmarks.timing import load

MANAGE = Path(__file__).parents[2] / "manage.py"


def run(say) -> list[Figure]:
    """Run the command as people do."""
    began = monotonic()
    child = subprocess.Popen(
        [sys.executable, str(MANAGE), "verify_ledger"],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    text = child.stdout.read()
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    seconds = monotonic() - began
    say("  " + "\n  ".join(text.strip().splitlines()[:30]))
    note = f"peak {usage.ru_maxrss // 1024} MB, processor {usage.ru_utime:.0f} s, load {load()}"
    return [Figure("verify_ledger", f"{seconds:.0f} s", "no fault", child.returncode == 0, note)]
