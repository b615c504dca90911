"""What a page of the long lists costs: the first, and one ten thousand rows further on."""

from time import perf_counter

from django.contrib.auth.models import User
from rest_framework.test import APIClient

from tests.benchmarks.tables import Figure, table
from tests.benchmarks.timing import load, timed

LISTS = ("lots", "postings", "deliveries", "parts", "runs", "bins")
PAGES, ROWS = 20, 500
FEW = 25


def run(say) -> list[Figure]:
    """Print the table; nothing is demanded."""
    client = APIClient(HTTP_HOST="localhost")
    client.force_authenticate(User.objects.filter(groups__name="operator").first())
    rows = [row_of(client, name) for name in LISTS]
    head = ["list", "first page ms", "rows further on", "page there ms", "load"]
    say(f"\nPages of {FEW} rows over the API\n{table(head, rows)}")
    slowest = max(rows, key=lambda row: float(row[3]))
    note = f"its first page {slowest[1]} ms, load {load()}"
    return [Figure(f"page deep in the list of {slowest[0]}", f"{slowest[3]} ms", note=note)]


def row_of(client: APIClient, name: str) -> list:
    """Return what a list's first page and a page far on cost."""
    address = f"/api/{name}/?page_size={FEW}"
    first = timed(lambda: client.get(address))
    passed, there = 0, address
    answer = client.get(f"/api/{name}/?page_size={ROWS}").json()
    until = perf_counter() + 60
    for _ in range(PAGES):
        if not answer["next"] or perf_counter() > until:
            break
        there = answer["next"].replace(f"page_size={ROWS}", f"page_size={FEW}")
        passed += len(answer["results"])
        answer = client.get(answer["next"]).json()
    deep = timed(lambda: client.get(there))
    return [name, f"{first.median:.1f}", f"{passed:,}", f"{deep.median:.1f}", load()]
