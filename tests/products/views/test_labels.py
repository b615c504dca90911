"""Pages of labels: choosing, the label itself, voiding and replacing."""

import pytest
from django.urls import reverse

from products.actions.labels import print_labels, void_label
from products.models import Label
from products.queries.things import Thing
from tests.factories.grids import GridFactory
from tests.factories.inventory import BinFactory, make_act, make_delivery, make_full_bin

pytestmark = pytest.mark.django_db
LIST = reverse("products:label-list")


@pytest.fixture
def bin(operator):
    return make_full_bin(operator)[0]


@pytest.fixture
def label(bin, operator):
    things = [Thing("bin", bin.code)]
    return print_labels(things=things, grid=GridFactory(), act=make_act(operator)).labels.get()


def url(label, name):
    return reverse(f"products:label-{name}", args=[label.code])


def text_of(answer):
    return answer.content.decode()


def test_the_start_page_lists_what_was_printed(label, floor):
    page = text_of(floor.get(LIST))
    assert label.printings.get().get_absolute_url() in page
    assert reverse("products:label-choose", args=["bin"]) in page


def test_the_start_page_asks_for_a_run_or_a_range(floor):
    page = text_of(floor.get(LIST))
    assert page.count(f'action="{reverse("products:label-print")}"') == 2
    assert 'name="from"' in page


@pytest.mark.parametrize("act", ["void", "replace"])
def test_the_page_of_an_act_says_what_the_label_is_on(label, bin, floor, act):
    assert f"Bin {bin.name}" in text_of(floor.get(url(label, act)))


def test_an_auditor_reads_and_is_offered_nothing(label, reader):
    page = text_of(reader.get(LIST))
    assert label.printings.get().get_absolute_url() in page
    assert reverse("products:label-choose", args=["bin"]) not in page


def test_another_address_is_said_on_the_start_page(label, desk, settings):
    settings.SITE_URL = "https://other.example"
    page = text_of(desk.get(LIST))
    assert "Nothing is printed now" in page
    assert reverse("products:address-move") in page


@pytest.mark.parametrize("kind", ["bin", "part", "delivery", "lot"])
def test_things_of_each_kind_are_chosen_by_ticking(kind, bin, floor):
    assert floor.get(reverse("products:label-choose", args=[kind])).status_code == 200


def test_a_row_says_whether_the_thing_has_a_label(label, bin, floor):
    other = BinFactory()
    rows = floor.get(reverse("products:label-choose", args=["bin"])).context["rows"]
    assert {row["row"]: row["label"] for row in rows} == {bin: label, other: None}


def test_all_on_the_page_are_ticked_at_once(bin, floor):
    page = text_of(floor.get(reverse("products:label-choose", args=["bin"]), {"all": "1"}))
    assert f'value="{bin.code}" checked' in page


def test_a_kind_that_is_none_is_not_found(floor):
    assert floor.get(reverse("products:label-choose", args=["sofa"])).status_code == 404


def test_choosing_asks_the_same_for_any_length(floor, operator, django_assert_max_num_queries):
    for _number in range(6):
        make_delivery(operator)
    with django_assert_max_num_queries(24):
        floor.get(reverse("products:label-choose", args=["delivery"]))


def test_the_page_of_a_label_shows_it_and_its_printings(label, bin, floor):
    page = text_of(floor.get(label.get_absolute_url()))
    assert url(label, "svg") in page
    assert bin.get_absolute_url() in page
    assert label.printings.get().get_absolute_url() in page


def test_an_auditor_is_offered_no_act_on_a_label(label, reader):
    page = text_of(reader.get(label.get_absolute_url()))
    assert url(label, "void") not in page


def test_a_thing_leads_to_the_label_that_counts(label, bin, floor):
    answer = floor.get(reverse("products:label-thing", args=["bin", bin.code]))
    assert answer.url == label.get_absolute_url()


def test_a_thing_without_a_label_says_so(bin, floor):
    page = text_of(floor.get(reverse("products:label-thing", args=["bin", bin.code])))
    assert "No label that counts" in page


def test_voids_a_label(label, floor, key):
    floor.post(url(label, "void"), {"key": key, "reason": "torn"})
    label.refresh_from_db()
    assert label.void_reason == "torn"


def test_a_void_label_says_why(label, floor, operator):
    void_label(label=label, act=make_act(operator, "torn by the press"))
    assert "torn by the press" in text_of(floor.get(label.get_absolute_url()))


@pytest.mark.parametrize("act", ["void", "replace"])
def test_without_a_reason_the_form_comes_back(label, floor, key, act):
    answer = floor.post(url(label, act), {"key": key, "reason": ""})
    assert answer.status_code == 422
    assert not Label.objects.filter(voided_at__isnull=False).exists()


def test_a_void_label_is_refused_once_more(label, floor, operator, key):
    void_label(label=label, act=make_act(operator, "torn"))
    answer = floor.post(url(label, "replace"), {"key": key, "reason": "lost"})
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "void")


def test_replacing_leads_to_the_new_label(label, floor, key):
    answer = floor.post(url(label, "replace"), {"key": key, "reason": "lost"})
    label.refresh_from_db()
    assert answer.url == label.replaced_by.get_absolute_url()


@pytest.mark.parametrize("act", ["void", "replace"])
def test_an_auditor_voids_nothing(label, reader, key, act):
    assert reader.post(url(label, act), {"key": key, "reason": "x"}).status_code == 403


def test_a_label_is_drawn_in_the_size_asked_for(label, floor):
    answer = floor.get(url(label, "svg"), {"width": "57", "height": "32"})
    assert answer["Content-Type"] == "image/svg+xml"
    assert b'width="57mm"' in answer.content


def test_a_label_is_drawn_in_dots(label, floor):
    answer = floor.get(url(label, "png"), {"dpi": "203"})
    assert answer.content.startswith(b"\x89PNG")


@pytest.mark.parametrize("size", [{"width": "3"}, {"dpi": "9999"}, {"height": "nan"}])
def test_a_size_that_no_label_has_is_not_found(label, floor, size):
    assert floor.get(url(label, "png"), size).status_code == 404


def test_a_void_label_is_not_drawn(label, floor, operator):
    void_label(label=label, act=make_act(operator, "torn"))
    assert floor.get(url(label, "svg")).status_code == 404


def test_pages_of_things_offer_a_label(bin, floor, operator):
    delivery = make_delivery(operator)
    address = reverse("products:label-print")
    pages = [text_of(floor.get(each.get_absolute_url())) for each in (bin, delivery, delivery.lot)]
    offers = [f"{address}?bin={bin.code}", f"{address}?delivery={delivery.code}"]
    offers.append(f"{address}?lot={delivery.code}")
    assert [offer in page for offer, page in zip(offers, pages, strict=True)] == [True] * 3
