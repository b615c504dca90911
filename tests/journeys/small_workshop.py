"""A small invented workshop in which every page of the staff has something to show, and its addresses."""

from uuid import UUID, uuid4

from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.urls.converters import IntConverter, UUIDConverter

from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.recalls import start_recall
from inventory.models import Posting
from inventory.queries.lots import open_lot_in
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
from tests.factories.mendings import make_fix, mend
from tests.factories.people import give_pin, make_person
from tests.factories.visits import visit_with_pieces
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_part,
    make_run,
    weigh_out,
)
from workshop.actions.corrections import correct_postings
from workshop.actions.cycles import count_cycle
from workshop.actions.runs import close_run
from workshop.models import Load


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
    correction, loaded = mended(by), Load.objects.get(charge__run=run)
    visit, _lot = visit_with_pieces(by, bin_fields={"name": "T-92", "place": "flake rack"})
    ada = give_pin(make_person("operator", "Ada")).pk
    return {
        "bin": bin.code, "delivery": lot.code, "lot": lot.code, "trace": lot.code,
        "source": lot.delivery.source_id, "posting": loaded.posting.uuid, "correction": correction.uuid,
        "checkpoint": checkpoint.pk, "audit": make_audit(by, "lot", lot.code).uuid,
        "hold": suspect.holds.get().pk, "round": make_round(by).pk, "recall": recall.pk,
        "scale": lot.delivery.scale_id or ScaleFactory().pk, "design": run.design_id,
        "stamp": run.design_id, "part": here.code, "in use": in_use.code, "passport": here.code,
        "grid": grid.pk, "label": bin.code, "printing": printing.uuid, "run": run.code,
        "machine": run.machine_id, "tooling": run.tooling_id, "cycle": run.code,
        "held": open_lot_in(bin).held_mg / KG,
        "visit": visit.pk, "piece": visit.pieces.first().code, "pin": ada, "turn": ada, "scan": bin.code,
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


def mended(by) -> Posting:
    """Return a correction of a load, whose part has a passport that says otherwise now."""
    run = make_run(by)
    first = load(run, make_delivery(by).lot, by, KG)
    load(run, make_delivery(by, origin_class="virgin").lot, by, KG)
    weigh_out(run, by, "part", 2 * KG, pieces=1)
    close_run(run=run, act=make_act(by))
    return mend(by, make_fix(first.posting, 1.5), correct=correct_postings, loss="spilt")


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
    first = "in use" if name.endswith("take-back") else first
    if first == "calculator":
        return reverse(name, kwargs=dict.fromkeys(keys, "sheet-charge"))
    named = {"slug": "bin", "code": things["bin"]} if "slug" in keys else {}
    named = {"pk": things["visit"]} if first == "piece" else named
    named = {"pk": things["design"]} if first == "process" else named
    named = {"symbol": "PP", "slug": "press-platen"} if "symbol" in keys else named
    strange = {IntConverter: 1, UUIDConverter: UUID(int=1)}  # things that nobody built: not found
    values = {
        key: named.get(key, things.get(first, strange.get(type(converter), things["run"])))
        for key, converter in keys.items()
    }
    return reverse(name, kwargs=values)


def deeper_pages(things: dict) -> dict[str, str]:
    """Return the second steps of the main acts, which an address with a question opens."""
    run, bin = f"/runs/{things['run']}", f"/bins/{things['bin']}"
    return {
        "open a press run": "/runs/open/?operation=press",
        "set up": f"{run}/?stage=setup",
        "load from a bin": f"{run}/load/?from={things['bin']}",
        "weigh out parts": f"{run}/yield/?kind=part",
        "weigh out offcuts": f"{run}/yield/?kind=offcut",
        "count that agrees": f"{bin}/count/?weighing=net&shown={things['held']}",
        "count that is less": f"{bin}/count/?weighing=net&shown=7",
        "count that surprises": f"{bin}/count/?weighing=net&shown=70",
        "print a label": f"/labels/print/?bin={things['bin']}",
        "trace of no such lot": "/trace/?code=NOSUCH",
        "scan of no such code": "/q/?code=NOSUCH",
        "runs that none fit": "/runs/?q=NOSUCH",
        "bins that none fit": "/bins/?q=NOSUCH",
    }


def pages(client, things: dict) -> dict[str, str]:
    """Return name and address of each page that a GET opens as HTML."""
    found = deeper_pages(things)
    for name, pattern in page_names().items():
        if name in {"logout", "worker"} or "photo" in name:
            continue
        path = address_of(name, pattern, things)
        answer = client.get(path, HTTP_ACCEPT="text/html")
        is_page = answer.headers.get("Content-Type", "").startswith("text/html")
        if answer.status_code == 200 and is_page and b"<!doctype html>" in answer.content[:200]:  # noqa: PLR2004
            found[name] = path
    return found
