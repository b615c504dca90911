"""Pages of cost rates."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Currency
from tests.factories.costs import put_rate, set_euro
from tests.factories.workshop import MachineFactory, ToolingFactory
from workshop.models import Rate

pytestmark = pytest.mark.django_db
LIST, HISTORY = reverse("workshop:rate-list"), reverse("workshop:rate-history")
CURRENCY = reverse("workshop:rate-currency")
LABOUR = reverse("workshop:rate-edit", args=["labour"])


def text(answer):
    return answer.content.decode().replace("\xa0", " ")


def test_everyone_reads_what_holds(floor, lead):
    set_euro(lead)
    put_rate(lead, "labour", "18.50")
    put_rate(lead, "power", 4000, MachineFactory(name="Press A"))
    ToolingFactory(name="Clip mould")
    found = text(floor.get(LIST))
    for said in ("18.50 EUR/h", "Press A", "4,000 W", "50 %", "usual", "Clip mould"):
        assert said in found
    assert LABOUR not in found


def test_the_lead_sets_the_currency_and_a_rate(desk, key):
    sent = {"key": key, "code": "eur", "holds_from": "2026-01-01"}
    assert desk.post(CURRENCY, sent).headers["Location"] == LIST
    sent = {"key": uuid4(), "amount": "18,50", "holds_from": "2026-01-01"}
    assert desk.post(LABOUR, sent).headers["Location"] == LIST
    assert (Currency.objects.get().code, str(Rate.objects.get().amount)) == ("EUR", "18.5000")


def test_a_rate_of_a_machine_has_its_own_page(desk, key):
    press = MachineFactory()
    url = reverse("workshop:rate-edit-of", args=["load", press.pk])
    assert "50&nbsp;% is taken" in text(desk.get(url))
    desk.post(url, {"key": key, "amount": "35", "holds_from": "2026-01-01"})
    assert Rate.objects.get().machine == press


def test_what_is_refused_is_shown_as_typed(desk, key):
    press = MachineFactory()
    url = reverse("workshop:rate-edit-of", args=["load", press.pk])
    answer = desk.post(url, {"key": key, "amount": "135", "holds_from": "2026-01-01"})
    assert answer.status_code == 422
    assert 'value="135"' in text(answer)
    assert "between 1 and 100 %" in text(answer)


def test_an_operator_sets_nothing(floor, key):
    assert floor.post(LABOUR, {"key": key}).status_code == 403
    assert floor.post(CURRENCY, {"key": key}).status_code == 403


@pytest.mark.parametrize("args", [["nothing"], ["power"], ["labour", 1], ["power", 99]])
def test_what_is_no_rate_is_not_found(desk, args):
    name = "workshop:rate-edit-of" if len(args) > 1 else "workshop:rate-edit"
    assert desk.get(reverse(name, args=args)).status_code == 404


def test_the_history_tells_who_set_what_when(floor, lead):
    set_euro(lead)
    put_rate(lead, "electricity", "0.31")
    put_rate(lead, "electricity", None)
    found = text(floor.get(HISTORY))
    assert "0.31 EUR/kWh" in found
    assert lead.username in found


def test_an_empty_history_says_so(floor):
    assert "No rate was set yet" in text(floor.get(HISTORY))


def test_the_history_and_the_box_have_the_decimals_of_the_currency(desk, lead):
    set_euro(lead)
    put_rate(lead, "labour", "18.4")
    put_rate(lead, "electricity", "0.3412")
    found = text(desk.get(HISTORY))
    assert "18.40 EUR/h" in found
    assert "0.3412 EUR/kWh" in found
    assert 'value="18.40"' in text(desk.get(LABOUR))
