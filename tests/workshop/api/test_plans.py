"""Plans over the API: asked, started, held against what was done."""

import pytest

from tests.factories.api import client_of, repeated, send
from tests.factories.costs import put_price, set_euro
from tests.factories.inventory import KG, make_full_bin, polymer
from tests.factories.plans import make_question, start
from tests.factories.workshop import DesignFactory, MachineFactory, ToolingFactory, load, make_run
from workshop.models import Run

pytestmark = pytest.mark.django_db


@pytest.fixture
def stock(operator):
    return make_full_bin(operator)


@pytest.fixture
def asked(stock):
    question = make_question()
    names = {"design": question.design.name, "machine": question.machine.name}
    return names | {"polymer": "HDPE", "pieces": 3}


def test_a_plan_is_asked_and_nothing_is_written(auditor, asked, stock):
    answer = client_of(auditor).get("/api/plans/", asked)
    found = answer.json()
    assert (answer.status_code, found["charge_mg"], found["can_start"]) == (200, 3_157_895, True)
    assert [(d["name"], d["mass_mg"]) for d in found["draws"]] == [(stock[0].name, 3_157_895)]
    assert (found["learned_from_runs"], found["cycle_s"]) == (0, None)
    assert not Run.objects.exists()


def test_the_cost_of_a_plan_is_told_in_minor_units(api_client, lead, stock, asked):
    """Hand-worked: 3 kg of parts at 0.40 a kg; flash and rejects go back into bins."""
    set_euro(lead)
    put_price(lead, stock[1], "0.4")
    costs = api_client.get("/api/plans/", asked).json()["costs"]
    assert (costs["currency"], costs["lines"]["material"], costs["lines"]["labour"]) == (
        "EUR",
        "1.20",
        None,
    )
    assert costs["total"] == "1.20"


def test_a_plan_that_cannot_be_drawn_tells_why(api_client, asked):
    found = api_client.get("/api/plans/", asked | {"pieces": 19}).json()
    assert (found["can_start"], found["draws"]) == (False, [])
    assert found["obstacles"] == [{"code": "short", "sentence": "10.000 kg of PE-HD are short."}]


@pytest.mark.parametrize(
    "changes",
    [{"pieces": 0}, {"pieces": "x"}, {"design": "none"}, {"most_bins": "-1"}, {"what": 1}],
)
def test_a_question_that_is_none_is_refused_at_its_field(api_client, asked, changes):
    answer = api_client.get("/api/plans/", asked | changes)
    assert answer.status_code == 400
    assert list(answer.json()["fields"]) == list(changes)


def test_a_design_that_is_cut_is_refused_by_code(api_client, asked):
    design = DesignFactory(made_by="cut")
    answer = api_client.get("/api/plans/", asked | {"design": design.name})
    assert answer.json()["code"] == "not-planned"
    assert 400 <= answer.status_code < 500


def test_a_run_is_started_and_a_repeat_is_answered_as_the_first_time(api_client, asked):
    token = api_client.get("/api/plans/", asked).json()["token"]
    first, again = repeated(api_client, "plans/", token=token, **asked)
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert first.json()["charge_mg"] == 3_157_895
    assert Run.objects.get().planned_pieces == 3


def test_another_token_is_refused_and_an_auditor_too(api_client, auditor, asked):
    assert send(api_client, "plans/", token="x", **asked).json()["code"] == "plan-moved"
    assert send(client_of(auditor), "plans/", token="x", **asked).status_code == 403
    assert not Run.objects.exists()


def test_a_plan_is_held_against_what_was_done(api_client, operator, stock):
    run = start(operator).run
    load(run, stock[1], operator, 4 * KG)
    found = api_client.get(f"/api/runs/{run.number}/plan/").json()
    charge = found["figures"][0]
    assert (charge["code"], charge["actual"]) == ("charge", 4 * KG)
    assert charge["difference"] == 4 * KG - 3_157_895
    assert found["content"]["charge_mg"] == 3_157_895


def test_a_run_without_a_plan_has_none(api_client, operator):
    run = make_run(operator)
    assert api_client.get(f"/api/runs/{run.code}/plan/").status_code == 404


def test_a_plan_tells_what_limits_and_what_the_tooling_says(api_client, asked):
    frame = ToolingFactory(
        kind="frame",
        upkeep_on="2020-01-01",
        frame_length_um=100_000,
        frame_width_um=100_000,
        frame_depth_um=90_000,
    )
    found = api_client.get("/api/plans/", asked | {"tooling": frame.name}).json()
    (fit,) = found["fits"]
    assert (fit["code"], fit["unit"], fit["takes"], fit["takes_mg"]) == ("frame", "mm3", 9e5, None)
    assert (fit["is_estimate"], fit["fits"], found["can_start"]) == (True, False, True)
    assert (found["limiting"], found["limiting_code"]) == (frame.name, "frame")
    assert found["tooling_says"] == [f"Upkeep of {frame.name} is due since 1 Jan 2020."]
    assert (found["changeover_s"], found["purge"]) == (0, None)
    (change,) = found["changes"]
    assert (change["code"], change["planned"], change["seconds"]) == ("tooling", frame.name, None)
    assert change["sentence"].startswith(f"Tooling to put on: {frame.name}.")


def test_a_plan_says_beforehand_what_has_to_be_purged(api_client, stock):
    machine = MachineFactory(name="Press A", last_polymer=polymer("PP"))
    question = make_question(machine=machine)
    names = {"design": question.design.name, "machine": "Press A", "polymer": "HDPE", "pieces": 3}
    found = api_client.get("/api/plans/", names).json()
    assert found["needs_purge"]
    assert found["purge"] == {
        "last": "PP",
        "next": "PE-HD",
        "is_possible": True,
        "compatibility": "limited",
        "sentence": "Press A last worked PP; purge it and write the purge down before PE-HD goes in.",
        "remains": "PE-HD bears only a few per cent of PP before it is weak.",
    }


def test_tooling_to_be_mended_is_refused_by_code(api_client, asked):
    frame = ToolingFactory(kind="frame", condition="mend")
    answer = api_client.get("/api/plans/", asked | {"tooling": frame.name})
    assert (answer.status_code, answer.json()["code"]) == (422, "needs-mending")
    answer = send(api_client, "plans/", token="x", tooling=frame.name, **asked)
    assert (answer.status_code, answer.json()["code"]) == (422, "needs-mending")
    assert not Run.objects.exists()


def test_a_plan_takes_no_tooling_of_a_kind_that_the_operation_never_uses(api_client, asked):
    die = ToolingFactory(kind="die")
    answer = api_client.get("/api/plans/", asked | {"tooling": die.name})
    assert (answer.status_code, answer.json()["code"]) == (422, "wrong-tooling")
