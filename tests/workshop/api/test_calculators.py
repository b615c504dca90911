"""The desk over the API: the same names, figures and refusals as its pages."""

import pytest

from workshop.calculations.catalogue import CALCULATORS

each_calculator = pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda each: each.name)


def test_every_calculator_is_listed_with_what_it_asks_and_answers(api_client):
    rows = api_client.get("/api/desk/", {"page_size": 100}).json()["results"]
    assert [row["name"] for row in rows] == [each.name for each in CALCULATORS]
    assert all(row["inputs"] and row["outputs"] and row["sources"] for row in rows)


@each_calculator
def test_what_is_left_out_has_its_default(api_client, calculator):
    answer = api_client.get(f"/api/desk/{calculator.name}/")
    assert answer.status_code == 200
    assert [each["name"] for each in answer.json()["results"]] == [
        each.name for each in calculator.outputs
    ]


def test_the_answer_is_that_of_the_page(api_client, client, operator):
    query = {"polymer": "PP", "thickness_mm": "8"}
    client.force_login(operator, backend="workshop.backends.PasswordBackend")
    page = client.get("/desk/sheet-charge/", query).context["worked"]
    rows = api_client.get("/api/desk/sheet-charge/", query).json()["results"]
    told = {line.name: line.value for line in page["main"] + page["others"]}
    assert {row["name"]: row["value"] for row in rows} == told


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"length_mm": "ten"}, "length_mm"),
        ({"length_mm": "-1"}, "length_mm"),
        ({"polymer": "PE"}, "polymer"),
        ({"polymer": ""}, "density_g_cm3"),
        ({"lenght_mm": "10"}, "lenght_mm"),
    ],
)
def test_what_cannot_be_reckoned_with_is_named(api_client, query, field):
    answer = api_client.get("/api/desk/sheet-charge/", query)
    assert answer.status_code == 400
    assert list(answer.json()["fields"]) == [field]


def test_an_unknown_calculator_is_not_found(api_client):
    answer = api_client.get("/api/desk/astrology/")
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")
