"""Process sheets over the API."""

import pytest

from products.models import Design
from tests.factories.api import client_of, repeated, send
from tests.factories.process_sheets import choose, closed_run, make_sheet_key
from workshop.models import ChosenSetting

pytestmark = pytest.mark.django_db


@pytest.fixture
def key(db):
    return make_sheet_key()


def names(key, **more):
    return {"polymer": key.polymer.symbol, "machine": key.machine.name} | more


def test_a_sheet_is_read_by_names_or_where_most_runs_worked(auditor, operator, lead, key):
    run = closed_run(operator, key, note="barrel 224")
    choose(lead, key)
    for asked in ({}, names(key)):
        found = client_of(auditor).get(f"/api/designs/{key.design.pk}/process/", asked).json()
        assert (found["polymer"], found["closed"], found["worked"]) == ("PP", 1, [run.number])
        melt = found["settings"][0]
        assert (melt["name"], melt["chosen"]["value"], melt["learned"]["median"]) == (
            "melt",
            228,
            230,
        )
        assert melt["windows"] == [{"window": "204 to 260\xa0°C", "source": "published"}]
        assert found["best"][0]["settings_note"] == "barrel 224"
        assert found["shares"]["part"]["is_few"] is True
        assert found["fume_above_c"] == 280
        assert len(found["history"]) == 1


def test_a_sheet_of_nothing_is_empty(api_client, key):
    key.design.made_by = "extrude"
    key.design.save()
    key.design.polymers.clear()
    found = api_client.get(f"/api/designs/{key.design.pk}/process/").json()
    assert (found["polymer"], found["machine"], found["worked"]) == (None, None, [])


def test_the_lead_chooses_and_drops_and_a_repeat_is_answered_alike(lead, key):
    client, address = client_of(lead), f"designs/{key.design.pk}/process/"
    body = names(key, name="melt", value="226.5", reason="no sink marks")
    first, again = repeated(client, address, **body)
    assert (first.status_code, first.json()) == (201, again.json())
    assert (first.json()["value"], first.json()["unit"]) == (226.5, "°C")
    first, again = repeated(client, f"{address}drop/", **names(key, name="melt", reason="no"))
    assert (first.status_code, first.json()) == (201, again.json())
    assert first.json()["value"] is None
    assert ChosenSetting.objects.count() == 2


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("above-fume", {"value": "281"}),
        ("no-setting", {"name": "platen"}),
        ("wrong-polymer", {"polymer": "PS"}),
    ],
)
def test_a_refusal_has_its_code(lead, key, code, changes):
    body = names(key, name="melt", value="226", reason="why") | changes
    answer = send(client_of(lead), f"designs/{key.design.pk}/process/", **body)
    assert (answer.json()["code"], ChosenSetting.objects.count()) == (code, 0)
    assert 400 <= answer.status_code < 500


def test_an_operator_chooses_nothing(api_client, key):
    body = names(key, name="melt", value="226", reason="why")
    assert send(api_client, f"designs/{key.design.pk}/process/", **body).status_code == 403
    assert send(api_client, f"designs/{key.design.pk}/process/drop/", **body).status_code == 403


@pytest.mark.parametrize("value", ["NaN", "1e9", "x", 12345678.5, None])
def test_a_value_that_is_none_is_refused_at_its_field(lead, key, value):
    body = names(key, name="dwell", value=value, reason="why")
    answer = send(client_of(lead), f"designs/{key.design.pk}/process/", **body)
    assert (answer.status_code, list(answer.json()["fields"])) == (400, ["value"])


def test_a_design_that_is_not_there_answers_404(api_client, lead):
    assert api_client.get("/api/designs/999999/process/").status_code == 404


def test_a_sheet_of_another_workshop_is_told_apart(auditor, lead, operator):
    sheet = {"polymer": "PP", "machine": {"kind": "injection", "force_kn": "250"}, "runs": 3}
    sheet |= {"settings": [{"name": "melt", "value": "290", "low": "285", "high": "295"}]}
    document = {
        "format": "design-3",
        "name": "Hook",
        "made_by": "inject",
        "nominal_mass_mg": 10_000,
    }
    document |= {"process_sheets": [sheet]}
    answer = send(client_of(lead), "designs/bring/", document=document)
    assert answer.status_code == 201
    key = make_sheet_key(design=Design.objects.get(name="Hook"))
    asked = f"/api/designs/{key.design.pk}/process/"
    (found,) = client_of(auditor).get(asked, names(key)).json()["foreign"]
    assert (found["polymer"], found["limits"], found["tried"]) == ("PP", {"force_kn": "250"}, 0)
    melt = found["settings"][0]
    assert (melt["value"], melt["unit"], melt["low"], melt["is_above_fume"]) == (
        290,
        "°C",
        285,
        True,
    )
    closed_run(operator, key)
    (found,) = client_of(auditor).get(asked, names(key)).json()["foreign"]
    assert (found["tried"], found["settings"][0]["here"]["median"]) == (1, 230)
    sheet["settings"][0]["value"] = "9000"
    answer = send(client_of(lead), "designs/bring/", document=document | {"name": "Other"})
    assert (answer.status_code, answer.json()["code"]) == (422, "file")
    assert "/process_sheets/0/settings/0/value" in answer.json()["detail"]
