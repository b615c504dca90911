"""A thousand labels out of a book: printed by the page and by the API, sheet included.

    python -m tests.benchmarks.printing build|page|api GRID

Started by labels.py with DATABASE_URL set; the last line is the outcome as JSON. Each step
runs in a process of its own, so that a peak is its own.
"""

import json
import resource
import sys
from time import perf_counter, process_time
from uuid import uuid4

import django

django.setup()

from django.contrib.auth.models import User  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import transaction  # noqa: E402
from django.test import Client  # noqa: E402
from rest_framework.test import APIClient  # noqa: E402

from products.models import LabelGrid, Part  # noqa: E402
from tests.factories.inventory import KG, make_full_bin  # noqa: E402
from tests.factories.people import make_person  # noqa: E402
from tests.factories.workshop import load, make_run, weigh_out  # noqa: E402

RUNS, PIECES = 20, 50
COLOURS = ("blue", "red", "green", "white")


def build() -> dict:
    """Write a book with a thousand parts of twenty runs, each of two colours and two deliveries."""
    call_command("migrate", verbosity=0)
    with transaction.atomic():
        call_command("load_reference", verbosity=0)
        by = make_person("operator")
        for number in range(RUNS):
            run = make_run(by)
            for step in range(2):
                colour = COLOURS[(number + step) % len(COLOURS)]
                load(run, make_full_bin(by, colour=colour, net_mg=40 * KG)[1], by)
            weigh_out(run, by, "part", 80 * KG, pieces=PIECES)
    return {"parts": Part.objects.count()}


def by_page(grid: LabelGrid) -> bytes:
    """Print as the tablet does: the form, then the sheet that it leads to."""
    client, codes = (
        Client(HTTP_HOST="localhost"),
        Part.objects.order_by("pk").values_list("code", flat=True),
    )
    client.force_login(User.objects.get(), backend="workshop.backends.PasswordBackend")
    things = " ".join(f"part:{code}" for code in codes)
    form = {"key": str(uuid4()), "things": things, "grid": grid.pk, "start": 1, "reason": "again"}
    return client.post("/labels/print/", form, follow=True).content


def by_api(grid: LabelGrid) -> bytes:
    """Print as a program does: the act, then its sheet."""
    client, codes = (
        APIClient(HTTP_HOST="localhost"),
        Part.objects.order_by("pk").values_list("code", flat=True),
    )
    client.force_authenticate(User.objects.get())
    things = [{"kind": "part", "code": code} for code in codes]
    body = {"uuid": str(uuid4()), "things": things, "grid": grid.name, "reason": "again"}
    answer = client.post("/api/printings/", json.dumps(body), content_type="application/json")
    return client.get(answer.json()["sheet"]).content


def measure(way, grid: LabelGrid) -> dict:
    """Print one sheet in this process and tell its times (s), peak memory (MB) and size (bytes)."""
    Client(HTTP_HOST="localhost").get("/login/")  # a server has loaded its addresses by then
    started, worked = perf_counter(), process_time()
    written = way(grid)
    seconds, cpu_s = perf_counter() - started, process_time() - worked
    if not written.startswith(b"%PDF"):
        raise RuntimeError(written[:400])
    return {
        "seconds": seconds,
        "cpu_s": cpu_s,
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "size": len(written),
    }


def main(step: str, grid_name: str = "") -> None:
    """Do one step and print its outcome."""
    ways = {"page": by_page, "api": by_api}
    grid = LabelGrid.objects.get(name=grid_name) if step in ways else None
    outcome = measure(ways[step], grid) if grid else build()
    print(json.dumps(outcome))  # noqa: T201


if __name__ == "__main__":
    main(*sys.argv[1:])
