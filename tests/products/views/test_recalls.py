"""The pages of a recall: look, stop, follow, lift, print."""

import re
from io import BytesIO

import pdfplumber
import pytest
from django.urls import reverse

from inventory.actions.recalls import start_recall
from inventory.calculations.codes import group_code
from inventory.models import Hold, Lot, Recall
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db

LOOK = reverse("products:recall-look")
NEW = reverse("products:recall-create")


@pytest.fixture
@kept
def bad(operator):
    """A bad delivery, some of it in a part and in offcuts."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 3 * KG, pieces=1)
    weigh_out(run, operator, "offcut", KG, bin=BinFactory())
    return lot


@pytest.fixture
def recall(bad, lead):
    return start_recall(lots=[bad], act=make_act(lead, "smells of petrol"))


def sent(bad, key, **fields):
    return {
        "lots": bad.delivery.number,
        "least_percent": "0",
        "reason": "smells",
        "key": key,
    } | fields


def test_looking_shows_every_holder_and_stops_nothing(desk, bad):
    answer = desk.get(LOOK, {"lots": bad.delivery.number})
    assert len(answer.context["rows"]) == 4
    assert answer.context["found"].total_mg == bad.in_mg
    assert not Hold.objects.exists()


def test_a_name_that_nothing_answers_to_is_kept_and_refused(desk, bad):
    answer = desk.get(LOOK, {"lots": f"{bad.delivery.number}\nD-9999"})
    assert answer.status_code == 422
    assert "answers to: D-9999" in answer.content.decode()
    assert bad.delivery.number in answer.content.decode()


def test_the_lead_stops_all_of_it_with_a_reason(desk, bad, key):
    answer = desk.post(NEW, sent(bad, key), follow=True)
    assert "4 lots are on hold" in answer.content.decode()
    assert Hold.objects.open().count() == 4


def test_without_a_reason_nothing_is_stopped_and_the_look_stays(desk, bad, key):
    answer = desk.post(NEW, sent(bad, key, reason=""))
    assert answer.status_code == 422
    assert len(answer.context["rows"]) == 4
    assert not Hold.objects.exists()


def test_an_operator_looks_and_stops_nothing(floor, bad, key):
    assert "Put all of it on hold" not in floor.get(LOOK, {"lots": bad.code}).content.decode()
    assert floor.post(NEW, sent(bad, key)).status_code == 403


def test_the_page_of_a_recall_follows_each_hold(desk, recall, key):
    page = reverse("products:recall-detail", args=[recall.pk])
    assert "4 lots, 4 of them still on hold" in desk.get(page).content.decode()
    lift = reverse("products:recall-lift", args=[recall.pk])
    shown = desk.post(lift, {"reason": "washed", "key": key}, follow=True).content.decode()
    assert "4 lots, 0 of them still on hold" in shown
    assert "washed" in shown


def test_the_table_has_a_line_for_every_lot_that_was_stopped(desk, recall):
    address = reverse("products:recall-csv", args=[recall.pk])
    lines = desk.get(address).getvalue().decode().splitlines()
    codes = {line.split(",")[1] for line in lines[1:]}
    assert codes == set(Lot.objects.filter(holds__recalls=recall).values_list("code", flat=True))


def test_the_paper_names_the_reason_and_every_lot(desk, recall):
    answer = desk.get(reverse("products:recall-pdf", args=[recall.pk]))
    with pdfplumber.open(BytesIO(answer.content)) as paper:
        text = "".join(page.extract_text() for page in paper.pages)
    assert "smells of petrol" in text
    for lot in Lot.objects.filter(holds__recalls=recall):
        assert lot.code[:4] in text


def test_the_paper_is_the_same_bytes_twice(desk, recall):
    address = reverse("products:recall-pdf", args=[recall.pk])
    assert desk.get(address).content == desk.get(address).content


def test_the_list_says_what_a_recall_is_for_when_there_is_none(desk):
    shown = desk.get(reverse("products:recall-list")).content.decode()
    assert "No recall so far" in shown
    assert not Recall.objects.exists()


def test_the_list_tells_how_many_are_still_on_hold(desk, recall):
    shown = desk.get(reverse("products:recall-list"))
    assert [(row.placed, row.standing) for row in shown.context["page"]] == [(4, 4)]


def test_page_and_paper_call_what_was_looked_for_the_same(desk, recall, bad):
    shown = desk.get(reverse("products:recall-detail", args=[recall.pk])).content.decode()
    link = reverse("inventory:trace", args=[bad.code])
    assert f'<a href="{link}">{bad.delivery.number}</a>' in shown
    paper = desk.get(reverse("products:recall-pdf", args=[recall.pk])).content
    with pdfplumber.open(BytesIO(paper)) as pages:
        assert f"{bad.delivery.number} {group_code(bad.code)}" in pages.pages[0].extract_text()


def test_a_delivery_leads_to_all_that_holds_any_of_it(desk, bad):
    said = desk.get(bad.delivery.get_absolute_url()).content.decode()
    (address,) = re.findall(rf'href="({LOOK}[^"]+)"', said)
    assert len(desk.get(address).context["rows"]) == 4
