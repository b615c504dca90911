"""The schema of the API describes it, and a general-purpose tester finds no fault behind it.

The cases are made by schemathesis from our own schema, the same ones every time. They go through the
whole stack as WSGI, in the test's thread and so within its transaction, on either database.
"""

from copy import deepcopy
from io import StringIO

import pytest
import schemathesis
from django.core.handlers.wsgi import WSGIHandler
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, settings
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from products.actions.labels import print_labels
from products.models import Part
from products.queries.things import Thing
from tests.factories.grids import GridFactory
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    SourceFactory,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.people import make_person
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run, weigh_out
from workshop.actions.tokens import issue_token

CHECKS = [
    schemathesis.checks.not_a_server_error,
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
]
MASS = {"type": "integer", "minimum": 1, "maximum": KG}
NAMES = {
    "bin": "B-01",
    "to_bin": "B-02",
    "from_bin": "B-01",
    "source": "A school",
    "scale": "Bench scale",
    "machine": "Press 1",
    "design": "Plate",
    "grid": "Sheet of 24",
    "polymer": "PE-HD",
    "colour": "blue",
}


SHUT = {"lot", "part", "happened_at", "gross_mg", "tare_mg", "mass_each_mg"}
ALWAYS = {"from_bin", "bin", "net_mg", "mass_mg", "polymer", "reason", "design"}


def narrowed(document: dict) -> dict:
    """Let bodies name things that exist and masses that are there, so that cases reach the actions."""
    bodies = document["components"]["schemas"].items()
    for body in [part for name, part in bodies if name.endswith("Body")]:
        fields = {name: part for name, part in body["properties"].items() if name not in SHUT}
        named = {name: {"type": "string", "enum": [NAMES[name]]} for name in NAMES.keys() & fields}
        masses = {name: MASS for name in fields if name.endswith("mass_mg") or name == "net_mg"}
        body["properties"] = fields | named | masses
        body["required"] = sorted({*body.get("required", []), *(ALWAYS & fields.keys())} - SHUT)
    return document


def loaded(document: dict, mode: GenerationMode):
    """Return the schema ready to be tried on the whole stack."""
    api = schemathesis.openapi.from_dict(document)
    api.app = WSGIHandler()
    api.config.phases.coverage.enabled = False
    api.config.generation.modes = [mode]
    return api


DOCUMENT = SchemaGenerator().get_schema(public=True)
right = loaded(narrowed(deepcopy(DOCUMENT)), GenerationMode.POSITIVE)
wrong = loaded(deepcopy(DOCUMENT), GenerationMode.NEGATIVE)
CASES = max(1, settings.default.max_examples // 13)  # of either kind for each operation
settled = settings(
    max_examples=CASES,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture
def kept_connection(db):
    """Keep a request's end from closing the connection whose transaction the test is in."""
    request_started.disconnect(close_old_connections)
    request_finished.disconnect(close_old_connections)
    yield
    request_started.connect(close_old_connections)
    request_finished.connect(close_old_connections)


@pytest.fixture(scope="module")
def workshop_codes(django_db_setup, django_db_blocker):
    """A small workshop in which all cases happen, each in a transaction of its own inside this one."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield small_workshop(make_person("operator", "who-made-the-workshop"))
        transaction.set_rollback(True)


def small_workshop(operator) -> dict[str, str]:
    """Make a workshop, and return the code or number for each kind of address."""
    SourceFactory(name=NAMES["source"])
    ScaleFactory(name=NAMES["scale"])
    _bin, lot = make_full_bin(operator, bin_fields={"name": NAMES["bin"]})
    bin = BinFactory(name=NAMES["to_bin"])
    machine = MachineFactory(name=NAMES["machine"])
    run = make_run(operator, machine=machine, design=DesignFactory(name=NAMES["design"]))
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=2)
    grid = GridFactory(name=NAMES["grid"])
    things = [Thing("bin", bin.code)]
    printing = print_labels(things=things, grid=grid, act=make_act(operator))
    hold = make_delivery(operator, polymer=None, identified_by="unknown").lot.holds.get()
    return {
        "bins": bin.code,
        "deliveries": lot.code,
        "desk": "sheet-charge",
        "designs": run.design.pk,
        "holds": hold.pk,
        "label-grids": grid.pk,
        "labels": bin.code,
        "lots": lot.code,
        "machines": machine.pk,
        "nested-plans": 1,
        "parts": Part.objects.earliest("pk").code,
        "postings": str(lot.filled_by.uuid),
        "printings": str(printing.uuid),
        "runs": run.number,
    }


@pytest.fixture
def ask(workshop_codes, kept_connection, lead):
    """Ask what a case asks, as the lead, of things that exist, and check the answer."""
    token = issue_token(user=lead).key
    headers = {"Authorization": f"Token {token}", "Accept-Encoding": "identity"}

    def ask_and_check(case):
        noun = case.operation.path.split("/")[2]
        case.path_parameters |= dict.fromkeys(case.path_parameters, workshop_codes.get(noun))
        case.validate_response(case.call(headers=headers), checks=CHECKS)

    return ask_and_check


@right.parametrize()
@settled
def test_no_good_case_meets_a_fault_or_an_answer_that_the_schema_does_not_know(case, ask):
    ask(case)


@wrong.parametrize()
@settled
def test_no_bad_case_meets_a_fault_or_an_answer_that_the_schema_does_not_know(case, ask):
    ask(case)


def test_every_address_says_how_it_refuses():
    found = {
        f"{method} {path}": [*unsaid(method, operation), *other_shapes(operation)]
        for path, methods in DOCUMENT["paths"].items()
        for method, operation in methods.items()
    }
    assert found
    assert {address: faults for address, faults in found.items() if faults} == {}


def unsaid(method, operation):
    """Return which refusals an address does not tell of; the statuses are those of RFC 9110."""
    demanded = {"400", "401", "403", "404"}
    demanded |= {"409", "413", "415", "422"} if method == "post" else set()
    return sorted(demanded - operation["responses"].keys())


def other_shapes(operation):
    """Return the shapes of refusals that are not the one for all, which that of a mark adds to."""
    refusals = [told for code, told in operation["responses"].items() if code not in {"200", "201"}]
    media = [each for told in refusals for each in told["content"].values()]
    shapes = {each["schema"]["$ref"].rpartition("/")[2] for each in media}
    return sorted(shape for shape in shapes if not shape.endswith("Refusal"))


def test_the_schema_is_made_without_a_warning():
    call_command("spectacular", validate=True, fail_on_warn=True, stdout=StringIO())


def test_the_schema_is_served(api_client):
    document = api_client.get("/api/schema/").json()
    assert "/api/lots/{code}/origins/" in document["paths"]
    assert document["paths"].keys() == DOCUMENT["paths"].keys()
