"""The page by which a bag gives some of its pieces a code of their own."""

import pytest
from django.urls import reverse

from inventory.calculations.codes import group_code
from products.actions.fixings import put_in
from products.actions.parts import hand_over_part
from products.models import Fixing, Part
from tests.factories.cutting import cut_run, make_boards
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.factories.inventory import make_act
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def bag(operator):
    return bag_of(operator, clip_design(), 50)


def url(part, name="divide"):
    return reverse(f"products:part-{name}", args=[part.code])


def test_pieces_get_a_code_and_the_page_leads_to_it(bag, floor, key):
    page = floor.get(url(bag)).content.decode()
    assert "50 pieces are in the bag" in page
    answer = floor.post(url(bag), {"key": key, "pieces": "2"}, follow=True)
    part = Part.objects.get(bag=bag)
    assert answer.redirect_chain == [(part.get_absolute_url(), 302)]
    page = answer.content.decode()
    assert f"2 pieces are part {group_code(part.code)} now; print its label." in page
    assert bag.get_absolute_url() in page
    assert f"{reverse('products:label-print')}?part={part.code}" in page


@pytest.mark.parametrize("pieces", ["50", "0", "-1", "two", "", "9" * 12])
def test_a_number_that_cannot_be_is_refused_at_its_box(bag, floor, key, pieces):
    answer = floor.post(url(bag), {"key": key, "pieces": pieces})
    assert answer.status_code == 422
    assert answer.form.errors["pieces"]
    assert Part.objects.count() == 1


def test_only_a_bag_that_is_here_offers_it(bag, floor, reader, operator):
    assert url(bag) in floor.get(bag.get_absolute_url()).content.decode()
    assert url(bag) not in reader.get(bag.get_absolute_url()).content.decode()
    hand_over_part(part=bag, act=make_act(operator))
    assert url(bag) not in floor.get(bag.get_absolute_url()).content.decode()


def test_a_single_piece_offers_it_not(operator, floor):
    part = made(operator, clip_design())
    assert url(part) not in floor.get(part.get_absolute_url()).content.decode()


def test_who_only_reads_may_not(bag, reader, key):
    assert reader.post(url(bag), {"key": key, "pieces": "2"}).status_code == 403


def test_the_label_of_a_bag_scanned_at_a_product_puts_in_what_is_missing(
    bag, lead, operator, floor, key
):
    stool = made(operator, stool_design(lead, bag.design))
    floor.post(url(stool, "put-in"), {"key": key, "part": bag.code})
    fixing = Fixing.objects.get()
    assert (fixing.part.bag, fixing.part.pieces) == (bag, 3)


def test_so_many_pieces_as_are_typed_go_in_and_come_out(bag, lead, operator, floor, key):
    stool = made(operator, stool_design(lead, bag.design))
    floor.post(url(stool, "put-in"), {"key": key, "part": bag.code, "pieces": "2"})
    part = Fixing.objects.get().part
    assert part.pieces == 2
    answer = floor.post(
        url(part, "take-out"), {"key": "6c9f6a44-53a7-4b0c-9a3e-0d6f3a1a0d01", "pieces": "1"}
    )
    assert answer.status_code == 302
    assert Fixing.objects.filter(taken_out_at__isnull=False).get().part.bag == part


def test_more_pieces_than_are_missing_are_refused_at_their_box(bag, lead, operator, floor, key):
    stool = made(operator, stool_design(lead, bag.design))
    answer = floor.post(url(stool, "put-in"), {"key": key, "part": bag.code, "pieces": "4"})
    assert answer.status_code == 422
    assert "Only 3 of Clip are missing" in str(answer.form.errors["pieces"])


def test_a_run_shows_the_bag_it_made_and_not_the_pieces_apart(bag, lead, operator, floor):
    stool = made(operator, stool_design(lead, bag.design))
    part = put_in(holder=stool, part=bag, act=make_act(operator)).part
    page = floor.get(reverse("scan-code", args=[bag.run_number]), follow=True).content.decode()
    assert bag.get_absolute_url() in page
    assert part.get_absolute_url() not in page


def test_sheets_that_a_run_is_to_cut_are_asked_back_once_and_given_by_one_tap(floor, operator, key):
    (bag,) = make_boards(operator, 1)
    bag.pieces = 4
    bag.save()
    run = cut_run(operator, (bag, 3))
    assert "An open run is to cut 3 of it:" in floor.get(url(bag)).content.decode()
    asked = floor.post(url(bag), {"key": key, "pieces": "2"})
    assert asked.status_code == 422
    assert f"{run.number} is open to cut these" in asked.content.decode()
    assert "Yes, take them out" in asked.content.decode()
    sent = {"key": key, "pieces": "2", "confirmed": asked.form.asked_token}
    assert floor.post(url(bag), sent).status_code == 302
    assert Part.objects.get(bag=bag).pieces == 2
