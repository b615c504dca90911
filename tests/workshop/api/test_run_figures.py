"""Yields and gaps over the API."""

import pytest

from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db
ADDRESS = "/api/run-figures/"


def test_it_tells_masses_shares_and_uncertainty(api_client, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 3 * KG, pieces=1)
    close_run(run=run, act=make_act(operator, "spilt"))
    found = api_client.get(ADDRESS).json()
    (design,), (machine,) = found["by_design"], found["by_machine"]
    assert (found["runs"], design["share"], design["spread"]["low"]) == (1, 0.75, None)
    assert (machine["gap_mg"], machine["share"], machine["expanded_mg"]) == (KG, 0.25, 0)
    assert (machine["outside"], machine["is_within"]) == (1, False)


@pytest.mark.parametrize(
    ("asked", "field"), [({"month": "13"}, "month"), ({"operator": "ann"}, "operator")]
)
def test_what_is_no_question_is_refused(api_client, asked, field):
    answer = api_client.get(ADDRESS, asked)
    assert answer.status_code == 400
    assert field in answer.json()["fields"]
