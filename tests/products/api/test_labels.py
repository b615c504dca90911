"""Labels over the API."""

from uuid import uuid4

import pytest

from inventory.models import Bin
from products.actions.labels import print_labels, void_label
from products.models import Label
from products.queries.things import Thing
from tests.factories.api import client_of, repeated, send
from tests.factories.book import written
from tests.factories.grids import GridFactory
from tests.factories.inventory import BinFactory, make_act, make_delivery
from tests.factories.workshop import make_run
from workshop.models import Load

pytestmark = pytest.mark.django_db


@pytest.fixture
def label(operator):
    things = [Thing("bin", BinFactory().code)]
    return print_labels(things=things, grid=GridFactory(), act=make_act(operator)).labels.get()


def test_a_label_says_what_it_is_on(api_client, label):
    answer = api_client.get(f"/api/labels/{label.code}/").json()
    assert (answer["thing"], answer["thing_code"], answer["prints"]) == ("bin", label.code, 1)
    assert (answer["voided_at"], answer["replaced_by"]) == (None, None)


def test_labels_are_narrowed(api_client, label):
    send(api_client, f"labels/{label.code}/replace/", reason="lost")
    answer = api_client.get(f"/api/labels/?thing=bin&thing_code={label.code}&void=true").json()
    assert [row["code"] for row in answer["results"]] == [label.code]


def test_a_label_is_voided(api_client, label):
    answer = send(api_client, f"labels/{label.code}/void/", reason="torn")
    assert (answer.status_code, answer.json()["label"]) == (201, label.code)
    assert api_client.get(f"/api/labels/{label.code}/").json()["void_reason"] == "torn"


def test_voiding_needs_a_reason(api_client, label):
    answer = send(api_client, f"labels/{label.code}/void/")
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")


def test_a_replacement_is_named_and_a_repeat_is_answered_alike(api_client, label):
    first, second = repeated(api_client, f"labels/{label.code}/replace/", reason="lost")
    assert first.json() == second.json()
    assert Label.objects.count() == 2
    assert first.json()["replaced_by"] == Label.objects.latest("pk").code


def test_an_auditor_voids_nothing(auditor, label):
    answer = send(client_of(auditor), f"labels/{label.code}/void/", reason="torn")
    assert answer.status_code == 403


@pytest.mark.parametrize(("suffix", "start"), [("svg", b"<svg"), ("png", b"\x89PNG")])
def test_a_label_is_drawn(api_client, label, suffix, start):
    answer = api_client.get(f"/api/labels/{label.code}/label.{suffix}?width=57&height=32")
    assert answer.content.startswith(start)


def test_a_size_that_no_label_has_is_refused(api_client, label):
    answer = api_client.get(f"/api/labels/{label.code}/label.png?dpi=5")
    assert (answer.status_code, list(answer.json()["fields"])) == (400, ["dpi"])


def test_a_void_label_is_not_drawn(api_client, label):
    send(api_client, f"labels/{label.code}/void/", reason="torn")
    assert api_client.get(f"/api/labels/{label.code}/label.svg").status_code == 404


def test_the_list_asks_the_same_for_any_length(api_client, label, django_assert_max_num_queries):
    with django_assert_max_num_queries(3):
        assert len(api_client.get("/api/labels/").json()["results"]) == 1


def test_the_code_of_a_new_label_is_an_address(api_client, label):
    new = send(api_client, f"labels/{label.code}/replace/", reason="lost").json()["replaced_by"]
    assert api_client.get(f"/api/bins/{new}/").json()["code"] == label.code


def test_a_bin_is_named_by_its_new_label(api_client, label, operator):
    lot = make_delivery(operator).lot
    new = send(api_client, f"labels/{label.code}/replace/", reason="lost").json()["replaced_by"]
    answer = send(api_client, "moves/", lot=lot.code, to_bin=new)
    assert answer.status_code == 201
    assert Bin.objects.get(code=label.code).lots.open().exists()


@pytest.mark.parametrize("way", ["void", "replace"])
def test_a_void_label_moves_nothing(api_client, label, operator, way):
    lot = make_delivery(operator).lot
    send(api_client, f"labels/{label.code}/{way}/", reason="lost")
    before = written()
    answer = send(api_client, "moves/", lot=lot.code, to_bin=label.code)
    assert "void since" in answer.json()["fields"]["to_bin"][0]
    assert written() == before


def test_a_void_label_of_a_delivery_loads_nothing(api_client, operator):
    lot, run = make_delivery(operator).lot, make_run(operator, "granulate")
    void_only_label("delivery", lot.code, operator)
    answer = send(api_client, f"runs/{run.code}/loads/", lot=lot.code)
    assert "void since" in answer.json()["fields"]["lot"][0]
    assert not Load.objects.exists()


def test_an_act_done_before_the_label_was_void_is_answered_as_the_first_time(api_client, operator):
    lot, body = make_delivery(operator).lot, {"uuid": str(uuid4())}
    body |= {"lot": lot.code, "to_bin": BinFactory().name}
    first = send(api_client, "moves/", **body)
    void_only_label("delivery", lot.code, operator)
    assert send(api_client, "moves/", **body).json() == first.json()


def void_only_label(kind, code, by):
    """Print a label of a thing and void it."""
    printing = print_labels(things=[Thing(kind, code)], grid=GridFactory(), act=make_act(by))
    void_label(label=printing.labels.get(), act=make_act(by, "torn"))
