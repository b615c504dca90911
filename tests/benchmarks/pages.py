"""What the first visit of each main page weighs, compressed, with its styles and scripts."""

import gzip
import re

from django.contrib.auth.models import User
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from inventory.models import Delivery, Lot, Posting, Source
from products.models import Design, Part
from tests.benchmarks.tables import below, table
from workshop.models import Machine, Run

HOLD_KB = 100
ASSET = re.compile(r"""(?:href|src)=["']/static/([^"'#?]+)""")
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
HASHED = re.compile(r"\.[0-9a-f]{12}(\.[a-z0-9]+)$")
IMPORTED = re.compile(r"""url\(["']?([^"')]+)|@import\s+["']([^"']+)""")


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


def asset_bytes(path: str) -> bytes:
    """Return a static file, whose name may carry a digest."""
    found = finders.find(path) or finders.find(HASHED.sub(r"\1", path))
    with open(found, "rb") as file:
        return file.read()


def asset_weights(path: str, known: dict[str, int]) -> set[str]:
    """Weigh a static file and what it imports; return the names of all of them."""
    name = HASHED.sub(r"\1", path)
    content = asset_bytes(path)
    known.setdefault(name, len(gzip.compress(content, 6)))
    names = {name}
    if name.endswith(".css"):
        folder = name.rpartition("/")[0]
        for inner in map("".join, IMPORTED.findall(content.decode())):
            if not inner.startswith(("data:", "#")):
                names |= asset_weights(joined(folder, inner), known)
    return names


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
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    known, rows, weights = {}, [], {}
    for name, address in addresses().items():
        answer = client.get(address, follow=True)
        html = len(gzip.compress(answer.content, 6))
        paths = set(ASSET.findall(answer.content.decode()))
        names = set().union(*(asset_weights(path, known) for path in paths))
        assets = sum(known[each] for each in names)
        weights[name] = (html + assets) / 1000
        kilobytes = (f"{html / 1000:.1f}", f"{assets / 1000:.1f}", f"{weights[name]:.1f}")
        rows.append([name, answer.status_code, *kilobytes, len(names)])
    rows.sort(key=lambda row: -float(row[4]))
    head = ["page", "status", "html kB", "static kB", "first visit kB", "files"]
    say(f"\nWeight of pages, gzip\n{table(head, rows)}")
    heaviest = max(weights, key=weights.get)
    return [below(f"page weight, heaviest ({heaviest})", weights[heaviest], HOLD_KB, "kB")]
