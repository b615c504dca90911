"""Time, energy and cost of a design over the API."""

import pytest

from tests.factories.costs import set_euro
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db
ADDRESS = "/api/cost-trends/"


def test_it_tells_each_figure_by_month(api_client, lead):
    set_euro(lead)
    design = DesignFactory(name="Plate")
    run = make_run(lead, design=design)
    load(run, make_full_bin(lead)[1], lead, KG)
    weigh_out(run, lead, "part", 750_000, pieces=2)
    weigh_out(run, lead, "offcut", 250_000, bin=BinFactory())
    close_run(run=run, act=make_act(lead))
    found = api_client.get(ADDRESS, {"design": design.pk}).json()
    offcut = next(row for row in found["rows"] if row["figure"] == "offcut")
    assert (found["design"], found["runs"], found["currency"]) == ("Plate", 1, "EUR")
    assert (offcut["median"], offcut["low"], offcut["unit"]) == ("0.250000", None, "share")
    assert found["savings"]["minute"] == {"amount": "0.00", "is_least": True}


@pytest.mark.parametrize(
    ("asked", "status"), [({}, 404), ({"month": "13"}, 400), ({"a": "1"}, 400)]
)
def test_what_is_no_question_is_refused(api_client, asked, status):
    assert api_client.get(ADDRESS, asked).status_code == status
