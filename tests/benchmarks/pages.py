"""What the first visit of each main page weighs, compressed, with its styles and scripts."""

import gzip
import re
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from inventory.models import Delivery, Lot, Posting, Source
from products.models import Design, Part
from tests.benchmarks.tables import below, table
from workshop.models import Machine, Run

HOLD_KB = 100
ASSET = re.compile(r"""(?:(?:href|src)=|importScripts\()["']/static/([^"'#?]+)""")
NAMES = (
    "home",
    "login",
    "inventory:bin-board",
    "inventory:delivery-list",
    "inventory:delivery-create",
    "inventory:lot-list",
    "inventory:posting-list",
    "inventory:trace-start",
    "products:part-list",
    "products:product-list",
    "workshop:run-list",
    "workshop:run-open",
    "workshop:machine-list",
)
IMPORTED = {
    ".css": re.compile(r"""url\(["']?([^"')#]+)|@import\s+["']([^"']+)"""),
    ".js": re.compile(r"""from\s+["'](\.[^"']+)["']()"""),
}


def addresses() -> dict[str, str]:
    """Return the main pages by name."""
    lot = Lot.objects.filter(kind=Lot.Kind.FILL).open().order_by("pk").last()
    part, run = Part.objects.order_by("pk").last(), Run.objects.order_by("pk").last()
    things = {
        "bin": lot.bin,
        "lot": lot,
        "part": part,
        "run": run,
        "design": Design.objects.first(),
        "machine": Machine.objects.first(),
        "posting": Posting.objects.order_by("pk").last(),
        "delivery": Delivery.objects.order_by("pk").last(),
    }
    pages = {name.split(":")[-1]: reverse(name) for name in NAMES}
    pages |= {name: thing.get_absolute_url() for name, thing in things.items() if thing}
    source = Source.objects.first()
    pages["source"] = reverse("inventory:source-detail", args=[source.pk])
    return pages | {"trace": reverse("inventory:trace", args=[lot.code])}


def assets(html: str, folder: Path) -> set[str]:
    """Return the static files that a page asks for, those among them that name others followed."""
    left, found = set(ASSET.findall(html)), set()
    while left:
        name = left.pop()
        found.add(name)
        if imported := IMPORTED.get(Path(name).suffix):
            inner = map("".join, imported.findall((folder / name).read_text()))
            here = {joined(name.rpartition("/")[0], each) for each in inner if "data:" not in each}
            left |= here - found
    return found


def first_visit(client, address: str, folder: Path) -> tuple[int, int, int]:
    """Return status, requests and compressed bytes of a first visit, the service worker included."""
    answer = client.get(address, follow=True)
    worker = client.get("/worker.js").content.decode()
    names = assets(answer.content.decode(), folder) | assets(worker, folder)
    weights = [packed((folder / name).read_bytes()) for name in names]
    texts = [packed(answer.content), packed(worker.encode())]
    return answer.status_code, len(weights + texts), sum(weights + texts)


def packed(content: bytes) -> int:
    """Return how many bytes go over the network."""
    return len(gzip.compress(content, 6))


def joined(folder: str, path: str) -> str:
    """Return a path relative to a folder as a whole path."""
    parts = folder.split("/")
    for step in path.split("?", maxsplit=1)[0].split("#", maxsplit=1)[0].split("/"):
        if step == "..":
            parts.pop()
        elif step != ".":
            parts.append(step)
    return "/".join(parts)


def run(say) -> list:
    """Print the weight of each page; return the heaviest as a figure."""
    call_command("collectstatic", interactive=False, verbosity=0)
    client, person = (
        Client(HTTP_HOST="localhost"),
        User.objects.filter(groups__name="operator").first(),
    )
    client.force_login(person, backend="workshop.backends.PasswordBackend")
    rows, weights = [], {}
    for name, address in addresses().items():
        status, requests, size = first_visit(client, address, Path(settings.STATIC_ROOT))
        weights[name] = size / 1000
        rows.append([name, status, f"{weights[name]:.1f}", requests])
    rows.sort(key=lambda row: -float(row[2]))
    head = ["page", "status", "first visit kB", "requests"]
    say(f"\nWeight of pages, gzip\n{table(head, rows)}")
    heaviest = max(weights, key=weights.get)
    return [below(f"page weight, heaviest ({heaviest})", weights[heaviest], HOLD_KB, "kB")]
