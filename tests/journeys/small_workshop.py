"""A small invented workshop in which every page of the staff has something to show, and its addresses."""

from uuid import uuid4

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.recalls import start_recall
from inventory.models import Posting
from products.actions.labels import print_labels
from products.actions.parts import hand_over_part
from products.queries.things import Thing
from tests.factories.audits import make_audit
from tests.factories.counts import make_round
from tests.factories.grids import GridFactory
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.people import give_pin, make_person
from tests.factories.visits import make_visit
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_part,
    make_run,
    weigh_out,
)
from workshop.actions.cycles import count_cycle


def build(by) -> dict:
    """Fill an empty book; return for each first word of a page's name what its address needs."""
    ScaleFactory(name="floor scale")
    make_full_bin(by, bin_fields={"name": "T-91", "place": "flake rack"})
    bin, lot = make_full_bin(by, bin_fields={"name": "T-90", "place": "flake rack"})
    BinFactory(name="C-01", place="offcut wall")
    run = making(by, lot)
    in_use = make_part(by, make_delivery(by).lot, 2 * KG, DesignFactory(name="Stool"))
    here = make_part(by, make_delivery(by).lot, 2 * KG, DesignFactory(name="Shelf"))
    hand_over_part(part=in_use, act=make_act(by), to="the school")
    grid = GridFactory()
    printing = print_labels(things=[Thing("bin", bin.code)], grid=grid, act=make_act(by))
    suspect = make_delivery(by, polymer=None, identified_by="unknown").lot
    recall = start_recall(lots=[make_delivery(by).lot], act=make_act(by, "smells of petrol"))
    checkpoint = make_checkpoint(key=uuid4(), by=by)
    posting = Posting.objects.latest("pk").uuid
    ada = give_pin(make_person("operator", "Ada")).pk
    return {
        "bin": bin.code, "delivery": lot.code, "lot": lot.code, "trace": lot.code,
        "source": lot.delivery.source_id, "posting": posting, "correction": posting,
        "checkpoint": checkpoint.pk, "audit": make_audit(by, "lot", lot.code).uuid,
        "hold": suspect.holds.get().pk, "round": make_round(by).pk, "recall": recall.pk,
        "scale": lot.delivery.scale_id or ScaleFactory().pk, "design": run.design_id,
        "stamp": run.design_id, "part": here.code, "in use": in_use.code, "passport": here.code,
        "grid": grid.pk, "label": bin.code, "printing": printing.uuid, "run": run.code,
        "machine": run.machine_id, "tooling": run.tooling_id, "cycle": run.code,
        "visit": make_visit(by).pk, "pin": ada, "turn": ada, "scan": bin.code,
    }  # fmt: skip


def making(by, lot):
    """Return an open run of an injection machine that made some pieces."""
    tooling, machine = ToolingFactory(cavities=2), MachineFactory(name="Injector", kind="injection")
    design = DesignFactory(name="Coat hook", made_by="inject", form="part", nominal_mass_mg=40_000)
    more = {"machine": machine, "tooling": tooling, "planned_pieces": 40}
    run = make_run(by, "inject", design, **more)
    load(run, lot, by, 2 * KG)
    count_cycle(run=run, act=make_act(by))
    weigh_out(run, by, "part", 80_000, pieces=2)
    return run


# Pages of corrections, which are newer than the walk; nobody has held them against it yet.
NOT_WALKED = {
    "workshop:posting-correct",
    "workshop:correction-detail",
    "products:passport-reissue",
}


def page_names(patterns=None, space="") -> dict[str, URLPattern]:
    """Return the addresses of the pages by name, from the resolver itself."""
    found = {}
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver) and pattern.namespace not in {"admin", "api"}:
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            found |= page_names(pattern.url_patterns, inner)
        elif isinstance(pattern, URLPattern) and pattern.name:
            found[space + pattern.name] = pattern
    return found


def address_of(name: str, pattern: URLPattern, things: dict) -> str:
    """Return the address of a page about the thing that its name begins with."""
    keys = pattern.pattern.converters
    first = name.rsplit(":", maxsplit=1)[-1].split("-", maxsplit=1)[0]
    first = "visit" if first == "piece" else first
    first = "in use" if name.endswith("take-back") else first
    if first == "calculator":
        return reverse(name, kwargs=dict.fromkeys(keys, "sheet-charge"))
    about_bin = {"slug": "bin", "code": things["bin"]} if "slug" in keys else {}
    values = {key: about_bin.get(key, things.get(first, things["run"])) for key in keys}
    return reverse(name, kwargs=values)


def pages(client, things: dict) -> dict[str, str]:
    """Return name and address of each page that a GET opens as HTML."""
    found = {}
    for name, pattern in page_names().items():
        if name in {"logout", "worker"} or "photo" in name or name in NOT_WALKED:
            continue
        path = address_of(name, pattern, things)
        answer = client.get(path, HTTP_ACCEPT="text/html")
        is_page = answer.headers.get("Content-Type", "").startswith("text/html")
        if answer.status_code == 200 and is_page and b"<!doctype html>" in answer.content[:200]:  # noqa: PLR2004
            found[name] = path
    return found
