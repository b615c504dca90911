"""Runs over the API."""

import pytest

from tests.factories.api import client_of, repeated, send
from tests.factories.cutting import make_boards
from tests.factories.inventory import KG, BinFactory, make_full_bin
from tests.factories.workshop import DesignFactory, MachineFactory, ToolingFactory, make_run
from workshop.models import Run

pytestmark = pytest.mark.django_db


def test_a_run_is_logged_from_opening_to_closing_and_traced(api_client, operator):
    bin, lot = make_full_bin(operator)
    offcuts, machine, design = BinFactory(), MachineFactory(), DesignFactory()
    plan = {"operation": "press", "machine": machine.name, "design": design.name}
    run = send(api_client, "runs/", **plan).json()["code"]
    send(api_client, f"runs/{run}/loads/", bin=bin.name, mass_mg=8 * KG, confirmed=True)
    made = {"kind": "part", "mass_each_mg": 3 * KG, "pieces": 2, "confirmed": True}
    parts = send(api_client, f"runs/{run}/yields/", **made).json()["parts"]
    send(api_client, f"runs/{run}/yields/", kind="offcut", mass_mg=2 * KG, bin=offcuts.name)
    assert send(api_client, f"runs/{run}/close/").status_code == 201
    origins = api_client.get(f"/api/lots/{parts[0]}/origins/").json()["origins"]
    assert [(row["lot"], row["mass_mg"]) for row in origins] == [(lot.code, 3 * KG)]


@pytest.mark.parametrize("name", ["code", "number"])
def test_a_run_is_found_by_code_and_by_number(api_client, operator, name):
    run = make_run(operator)
    answer = api_client.get(f"/api/runs/{getattr(run, name).lower()}/").json()
    assert (answer["code"], answer["state"], answer["charges"]) == (run.code, "open", [])


def test_a_run_shows_how_its_charges_balance(api_client, operator):
    bin, lot = make_full_bin(operator)
    run = make_run(operator)
    send(api_client, f"runs/{run.code}/loads/", lot=lot.code, mass_mg=8 * KG, confirmed=True)
    send(
        api_client,
        f"runs/{run.number}/yields/",
        kind="part",
        mass_mg=6 * KG,
        pieces=1,
        confirmed=True,
    )
    charge = api_client.get(f"/api/runs/{run.code}/").json()["charges"][0]
    assert (charge["in_mg"], charge["left_mg"], charge["is_sealed"]) == (8 * KG, 2 * KG, True)
    assert [row["source"] for row in charge["loads"]] == [lot.code]
    assert [row["kind"] for row in charge["yields"]] == ["part"]


def test_a_gap_is_not_closed_without_a_name(api_client, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    send(api_client, f"runs/{run.code}/loads/", lot=lot.code, confirmed=True)
    send(
        api_client,
        f"runs/{run.code}/yields/",
        kind="part",
        mass_mg=6 * KG,
        pieces=1,
        confirmed=True,
    )
    answer = send(api_client, f"runs/{run.code}/close/")
    assert (answer.status_code, answer.json()["code"]) == (422, "gap")
    assert Run.objects.open().exists()


def test_a_named_loss_closes_the_run(api_client, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    send(api_client, f"runs/{run.code}/loads/", lot=lot.code, confirmed=True)
    send(
        api_client,
        f"runs/{run.code}/yields/",
        kind="part",
        mass_mg=6 * KG,
        pieces=1,
        confirmed=True,
    )
    answer = send(api_client, f"runs/{run.code}/close/", reason="spilt").json()
    lost = answer["posting"]["transfers"][0]
    assert (lost["role"], lost["mass_mg"], lost["target"]) == ("loss", 4 * KG, None)


def test_an_empty_run_is_abandoned_without_a_posting(api_client, operator):
    run = make_run(operator)
    answer = send(api_client, f"runs/{run.code}/abandon/", reason="power cut").json()
    assert (answer["posting"], answer["change"]["reason"]) == (None, "power cut")
    assert api_client.get(f"/api/runs/{run.code}/").json()["state"] == "abandoned"


def test_the_lead_opens_a_run_again(operator, lead):
    client, run = client_of(lead), make_run(operator)
    send(client, f"runs/{run.code}/abandon/", reason="power cut")
    send(client, f"runs/{run.code}/reopen/", reason="power is back")
    assert client.get(f"/api/runs/{run.code}/").json()["state"] == "open"


def test_a_machine_that_does_not_suit_is_refused(api_client):
    plan = {"operation": "granulate", "machine": MachineFactory(kind="press").name}
    answer = send(api_client, "runs/", **plan)
    assert (answer.status_code, answer.json()["code"]) == (422, "wrong-machine")
    assert not Run.objects.exists()


def test_runs_are_narrowed(api_client, operator):
    run = make_run(operator)
    closed = make_run(operator)
    send(api_client, f"runs/{closed.code}/abandon/", reason="power cut")
    query = f"state=open&operation=press&machine={run.machine.name}&ordering=-opened_at"
    answer = api_client.get(f"/api/runs/?{query}").json()
    assert [row["code"] for row in answer["results"]] == [run.code]


def test_the_list_asks_the_same_for_any_length(api_client, operator, django_assert_max_num_queries):
    for _ in range(6):
        make_run(operator)
    with django_assert_max_num_queries(3):
        assert len(api_client.get("/api/runs/").json()["results"]) == 6


def test_tooling_to_be_mended_opens_no_run(api_client):
    machine, mould = (
        MachineFactory(kind="granulator"),
        ToolingFactory(kind="screen", condition="mend"),
    )
    body = {"operation": "granulate", "machine": machine.name, "tooling": mould.name}
    answer = send(api_client, "runs/", **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "needs-mending")
    assert not Run.objects.exists()


def test_tooling_for_what_is_made_another_way_opens_no_run(api_client):
    mould = ToolingFactory()
    mould.designs.add(DesignFactory(made_by="inject"))
    body = {"machine": MachineFactory(kind="press").name, "design": DesignFactory().name}
    answer = send(api_client, "runs/", operation="press", tooling=mould.name, **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "wrong-tooling")
    assert not Run.objects.exists()


def test_a_run_is_opened_for_sheets_and_they_are_spoken_for(api_client, operator):
    board, other = make_boards(operator)
    machine, design = MachineFactory(kind="cutter"), DesignFactory(made_by="cut", form="part")
    plan = {"operation": "cut", "machine": machine.name, "design": design.name}
    plan |= {"sheets": [{"part": board.code}]}
    first, again = repeated(api_client, "runs/", **plan)
    assert (first.status_code, first.json()) == (201, again.json())
    sheets = [{"part": board.code, "pieces": 1}]
    run = first.json()
    assert run["sheets"] == sheets
    assert api_client.get(f"/api/runs/{run['code']}/").json()["sheets"] == sheets
    assert api_client.get("/api/runs/").json()["results"][0]["sheets"] == sheets
    claim = {"run": run["number"], "pieces": 1}
    assert api_client.get(f"/api/parts/{board.code}/").json()["spoken_for"] == [claim]
    assert api_client.get(f"/api/parts/{other.code}/").json()["spoken_for"] == []
    answer = send(api_client, "runs/", **plan)
    assert (answer.status_code, answer.json()["code"]) == (422, "spoken-for")


def test_a_run_keeps_its_cutting_list_if_it_is_one(api_client):
    machine, design = MachineFactory(kind="cutter"), DesignFactory(made_by="cut", form="part")
    plan = {"operation": "cut", "machine": machine.name, "design": design.name}
    place = "/cut-plans/new/?kerf=3"
    run = send(api_client, "runs/", **plan, cutting_list=place).json()
    assert run["cutting_list"] == place
    assert api_client.get(f"/api/runs/{run['code']}/").json()["cutting_list"] == place
    answer = send(api_client, "runs/", **plan, cutting_list="https://elsewhere.invalid/")
    assert (answer.status_code, answer.json()["code"]) == (422, "no-plan")


@pytest.mark.parametrize(
    "sheets", ["text", [{"part": "nonsense"}], [{"pieces": 1}], [{"part": 3}], [3], None]
)
def test_what_names_no_sheets_is_refused(api_client, operator, sheets):
    machine, design = MachineFactory(kind="cutter"), DesignFactory(made_by="cut", form="part")
    plan = {"operation": "cut", "machine": machine.name, "design": design.name}
    assert send(api_client, "runs/", **plan, sheets=sheets).status_code == 400
    assert not Run.objects.exists()


def test_tooling_of_a_kind_that_the_operation_never_uses_opens_no_run(api_client):
    body = {"machine": MachineFactory(kind="press").name, "design": DesignFactory().name}
    die = ToolingFactory(kind="die")
    answer = send(api_client, "runs/", operation="press", tooling=die.name, **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "wrong-tooling")
    assert "choose tooling to press with (frame, mould), or none" in answer.json()["detail"]
    assert not Run.objects.exists()
