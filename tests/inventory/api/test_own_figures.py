"""Sheets and own figures over the API."""

import pytest

from inventory.models import OwnFigure
from tests.factories.api import client_of, repeated, send

pytestmark = pytest.mark.django_db
OWN = "polymers/PP/own/"


def figure_of(client, name):
    sheet = client.get("/api/polymers/PP/").json()
    return next(row for row in sheet["figures"] if row["name"] == name)


def test_a_sheet_keeps_ceiling_and_decomposition_apart(api_client):
    sheet = api_client.get("/api/polymers/PE-HD/").json()
    assert (sheet["fume_above_c"], sheet["decomposes_c"]) == (280, [480, 498, "NZ"])
    assert sheet["partners"]["never"] == ["POM", "PVC-U"]
    assert sheet["drying"] == "surface"


def test_a_sheet_of_reject_material_says_why(api_client):
    sheet = api_client.get("/api/polymers/POM/").json()
    assert (sheet["is_rejected"], sheet["drying"]) == (True, "never")
    assert {row["name"] for row in sheet["figures"]} == {"density", "fume-above"}


def test_an_unknown_polymer_is_not_found(api_client):
    assert api_client.get("/api/polymers/PX/").status_code == 404


def test_the_lead_sets_a_figure(lead, api_client):
    body = {"name": "density", "typical": "0.91", "reason": "measured in a bath"}
    answer = send(client_of(lead), OWN, **body)
    assert (answer.status_code, answer.json()["low"], answer.json()["polymer"]) == (201, 0.91, "PP")
    found = figure_of(api_client, "density")
    assert (found["basis"], found["own"]["note"]) == ("own", "measured in a bath")
    assert found["reference"] == [0.895, 0.905, 0.915]


def test_a_repeat_is_answered_as_the_first_time(lead):
    body = {"name": "density", "typical": "0.91", "reason": "measured"}
    first, again = repeated(client_of(lead), OWN, **body)
    assert first.json() == again.json()
    assert OwnFigure.objects.count() == 1


@pytest.mark.parametrize(
    ("code", "body"),
    [
        ("above-reference", {"name": "fume-above", "typical": 300}),
        ("incomplete", {"name": "press-platen", "low": 190}),
        ("absurd", {"name": "density", "typical": 905}),
    ],
)
def test_a_refused_figure_has_its_code(lead, code, body):
    answer = send(client_of(lead), OWN, reason="wish", **body)
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert not OwnFigure.objects.exists()


@pytest.mark.parametrize("value", ["NaN", "1e400", 10**9, "x", [1]])
def test_what_is_no_number_is_refused(lead, value):
    answer = send(client_of(lead), OWN, name="density", typical=value, reason="wish")
    assert 400 <= answer.status_code < 500


def test_the_lead_goes_back(lead, api_client):
    send(client_of(lead), OWN, name="density", typical="0.91", reason="measured")
    answer = send(client_of(lead), f"{OWN}density/back/", reason="other batch")
    assert answer.json()["is_back"]
    assert figure_of(api_client, "density")["own"] is None
    again = send(client_of(lead), f"{OWN}density/back/", reason="other batch")
    assert (again.status_code, again.json()["code"]) == (422, "no-own")


def test_only_the_lead_sets_figures(api_client):
    answer = send(api_client, OWN, name="density", typical="0.91", reason="measured")
    assert answer.status_code == 403
