"""Pages that put a part into another and take it out, and what the page of a part says of it."""

import pytest
from django.urls import reverse

from inventory.actions.postings import reverse_posting
from inventory.calculations.codes import group_code
from inventory.models import Posting
from products.actions.fixings import put_in, take_out
from products.actions.labels import print_labels, replace_label
from products.actions.parts import hand_over_part
from products.models import Fixing, Label
from products.queries.things import Thing
from tests.factories.cutting import cut_run, make_boards
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.factories.grids import GridFactory
from tests.factories.inventory import make_act

pytestmark = pytest.mark.django_db


def url(part, name):
    return reverse(f"products:part-{name}", args=[part.code])


def text(client, part):
    return client.get(part.get_absolute_url()).content.decode()


def test_the_page_says_plainly_what_is_missing(stool, loose, floor, operator):
    assert "3 × Clip</strong>" in text(floor, stool)
    put_in(holder=stool, part=loose, act=make_act(operator))
    page = text(floor, stool)
    assert "2 × Clip</strong>" in page
    assert group_code(loose.code) in page
    assert "&gt;PE-HD&lt;" in page


def test_the_page_says_when_nothing_is_missing(stool, clip, floor, operator):
    for _ in range(3):
        put_in(holder=stool, part=made(operator, clip), act=make_act(operator))
    page = text(floor, stool)
    assert "Nothing is missing" in page
    assert url(stool, "put-in") not in page


def test_what_no_longer_is_in_the_parts_list_is_shown_apart(stool, loose, floor, operator):
    put_in(holder=stool, part=loose, act=make_act(operator))
    stool.design.items.all().delete()
    page = text(floor, stool)
    assert "No longer in its parts list" in page
    assert group_code(loose.code) in page


def test_pieces_that_went_back_into_their_bag_are_struck_out(stool, clip, floor, operator, lead):
    fixing = put_in(holder=stool, part=bag_of(operator, clip, 5), act=make_act(operator))
    take_out(part=fixing.part, act=make_act(operator))
    divided = Posting.objects.get(kind="divide")
    assert fixing.part.get_absolute_url() in text(floor, stool)
    reverse_posting(posting=divided, act=make_act(lead, "another bag"))
    assert fixing.part.get_absolute_url() not in text(floor, stool)  # it has no page any more
    entries = floor.get(stool.get_absolute_url()).context["past"]
    assert [entry["state"] for entry in entries] == ["reversed", "reversed"]


def test_a_scan_on_the_page_of_the_holder_puts_the_part_in(stool, loose, floor, key):
    answer = floor.post(
        url(stool, "put-in"), {"key": key, "part": f"http://x/q/{loose.code}"}, follow=True
    )
    assert answer.redirect_chain == [(stool.get_absolute_url(), 302)]
    assert Fixing.objects.get().part == loose
    assert f"Clip {group_code(loose.code)} is in Stool" in answer.content.decode()


def test_a_refusal_stands_at_the_field_and_keeps_what_was_scanned(stool, floor, operator, key):
    hook = made(operator, clip_design("Hook"))
    answer = floor.post(url(stool, "put-in"), {"key": key, "part": hook.code})
    assert answer.status_code == 422
    assert answer.form["part"].value() == group_code(hook.code)
    assert "not in the parts list" in str(answer.form.errors["part"])
    assert not Fixing.objects.exists()


def test_a_code_of_nothing_is_said_at_the_field(stool, floor, key):
    answer = floor.post(url(stool, "put-in"), {"key": key, "part": "no-such-code"})
    assert answer.status_code == 422
    assert "No part has the code no-such-code" in str(answer.form.errors["part"])


def test_a_void_label_puts_nothing_in(stool, loose, floor, operator, key):
    print_labels(things=[Thing("part", loose.code)], grid=GridFactory(), act=make_act(operator))
    label = replace_label_of(loose, operator)
    answer = floor.post(url(stool, "put-in"), {"key": key, "part": loose.code})
    assert answer.status_code == 422
    assert group_code(label.code) in str(answer.form.errors["part"])
    floor.post(url(stool, "put-in"), {"key": key, "part": label.code})
    assert Fixing.objects.get().part == loose


def replace_label_of(part, by):
    label = Label.objects.get(thing_code=part.code)
    return replace_label(label=label, act=make_act(by, "torn"))


def test_the_page_offers_what_fits_from_stock(stool, loose, floor, operator):
    away = made(operator, loose.design)
    hand_over_part(part=away, act=make_act(operator))
    page = floor.get(url(stool, "put-in"))
    assert page.context["fitting"] == [loose]
    assert f"?part={loose.code}" in page.content.decode()
    chosen = floor.get(url(stool, "put-in"), {"part": loose.code})
    assert chosen.form["part"].value() == group_code(loose.code)


def test_with_nothing_in_stock_the_page_says_so(stool, floor):
    assert "Nothing in stock fits" in floor.get(url(stool, "put-in")).content.decode()


def test_a_design_without_parts_list_takes_nothing_and_says_so(loose, floor):
    assert "no parts list" in floor.get(url(loose, "put-in")).content.decode()
    assert "What it holds" not in text(floor, loose)


def test_the_page_of_a_held_part_says_in_what_it_is(stool, loose, floor, operator):
    put_in(holder=stool, part=loose, act=make_act(operator))
    page = text(floor, loose)
    assert f'It is in <a href="{stool.get_absolute_url()}">' in page
    assert url(loose, "take-out") in page
    assert url(loose, "hand-over") not in page
    assert "in a product" in page


def test_taken_out_the_history_of_both_names_the_other(stool, loose, floor, operator, key):
    put_in(holder=stool, part=loose, act=make_act(operator))
    answer = floor.post(
        url(loose, "take-out"), {"key": key, "state": "the hook broke"}, follow=True
    )
    page = answer.content.decode()
    assert f"Taken out: Clip {group_code(loose.code)}" in page
    assert "the hook broke" in page
    assert f"Taken out of Stool {group_code(stool.code)}" in text(floor, loose)


@pytest.mark.parametrize("act", ["take-out", "swap"])
def test_what_is_in_nothing_is_offered_no_act_on_what_it_is_in(stool, loose, floor, operator, act):
    button = 'form="part-form"'
    said = floor.get(url(loose, act)).content.decode()
    assert "It is in no product, so there is nothing to do here." in said
    assert button not in said
    put_in(holder=stool, part=loose, act=make_act(operator))
    assert button in floor.get(url(loose, act)).content.decode()


def test_taking_out_what_is_in_nothing_is_refused_on_the_page(loose, floor, key):
    answer = floor.post(url(loose, "take-out"), {"key": key})
    assert answer.status_code == 422
    assert "in no other part" in answer.content.decode()


def test_in_use_the_page_offers_to_change_nothing(stool, loose, floor, operator):
    put_in(holder=stool, part=loose, act=make_act(operator))
    hand_over_part(part=stool, act=make_act(operator))
    page = text(floor, stool)
    assert url(stool, "put-in") not in page
    assert url(loose, "take-out") not in page


def test_who_only_reads_is_offered_nothing(stool, loose, reader, operator, key):
    assert url(stool, "put-in") not in text(reader, stool)
    assert reader.post(url(stool, "put-in"), {"key": key, "part": loose.code}).status_code == 403
    put_in(holder=stool, part=loose, act=make_act(operator))
    assert url(loose, "take-out") not in text(reader, stool)


def test_the_page_asks_the_same_however_much_it_holds(
    stool, clip, floor, operator, django_assert_max_num_queries
):
    for _ in range(3):
        part = made(operator, clip)
        put_in(holder=stool, part=part, act=make_act(operator))
        take_out(part=part, act=make_act(operator))
        put_in(holder=stool, part=part, act=make_act(operator))
    with django_assert_max_num_queries(21):
        floor.get(stool.get_absolute_url())


def test_a_swap_is_a_tap_and_a_scan(stool, loose, clip, floor, operator, key):
    broken = made(operator, clip)
    put_in(holder=stool, part=broken, act=make_act(operator))
    assert url(broken, "swap") in text(floor, stool)
    form = floor.get(url(broken, "swap"))
    assert form.context["fitting"] == [loose]
    sent = {"key": key, "wrong": "broken", "part": loose.code}
    answer = floor.post(url(broken, "swap"), sent, follow=True)
    assert answer.redirect_chain == [(stool.get_absolute_url(), 302)]
    page = answer.content.decode()
    assert "is out and may be granulated" in page
    assert Fixing.objects.get(part=broken).state_when_taken_out == "broken"
    assert Fixing.objects.open().get().part == loose


def test_what_is_wrong_is_asked_and_never_taken_for_granted(
    stool, loose, clip, floor, operator, key
):
    old = made(operator, clip)
    put_in(holder=stool, part=old, act=make_act(operator))
    assert " checked" not in floor.get(url(old, "swap")).content.decode()
    answer = floor.post(url(old, "swap"), {"key": key, "part": loose.code})
    assert answer.status_code == 422
    assert answer.form.errors["wrong"]
    assert answer.form["part"].value() == group_code(loose.code)
    assert Fixing.objects.get().taken_out_at is None


def test_what_else_is_wrong_is_said_in_words(stool, loose, clip, floor, operator, key):
    broken = made(operator, clip)
    put_in(holder=stool, part=broken, act=make_act(operator))
    sent = {"key": key, "wrong": "other", "part": loose.code}
    answer = floor.post(url(broken, "swap"), sent)
    assert answer.status_code == 422
    assert "Say what is wrong" in str(answer.form.errors["state"])
    floor.post(url(broken, "swap"), sent | {"state": "yellowed"})
    assert Fixing.objects.get(part=broken).state_when_taken_out == "yellowed"


def test_a_swap_that_is_refused_keeps_what_was_typed(stool, clip, floor, operator, key):
    broken, hook = made(operator, clip), made(operator, clip_design("Hook"))
    put_in(holder=stool, part=broken, act=make_act(operator))
    sent = {"key": key, "wrong": "worn", "state": "thin", "part": hook.code}
    answer = floor.post(url(broken, "swap"), sent)
    assert answer.status_code == 422
    assert answer.form["state"].value() == "thin"
    assert "not in the parts list" in str(answer.form.errors["part"])
    assert Fixing.objects.open().get().part == broken
    assert "Nothing in stock fits" in answer.content.decode()


def test_a_part_of_several_pieces_asks_how_many(stool, clip, loose, floor, operator):
    bag = bag_of(operator, clip, 3)
    put_in(holder=stool, part=bag, act=make_act(operator))
    assert "pieces" in floor.get(url(bag, "swap")).form.fields
    assert "pieces" not in floor.get(url(loose, "swap")).form.fields


def test_the_page_of_a_part_that_is_out_with_its_product_offers_no_change(
    stool, loose, floor, operator
):
    put_in(holder=stool, part=loose, act=make_act(operator))
    hand_over_part(part=stool, act=make_act(operator))
    page = text(floor, loose)
    assert "take the product back before anything is changed" in page
    assert url(loose, "take-out") not in page
    assert url(loose, "swap") not in page


def test_what_came_out_broken_is_not_offered_again(stool, loose, clip, floor, operator):
    good = made(operator, clip)
    for part, state in ((loose, "broken"), (good, "")):
        put_in(holder=stool, part=part, act=make_act(operator))
        take_out(part=part, act=make_act(operator), state=state)
    assert floor.get(url(stool, "put-in")).context["fitting"] == [good]


def test_a_sheet_that_a_run_is_to_cut_is_asked_back_once_and_put_in_by_one_tap(
    lead, floor, operator, key
):
    (board,) = make_boards(operator, 1)
    run, stool = cut_run(operator, board), made(operator, stool_design(lead, board.design))
    asked = floor.post(url(stool, "put-in"), {"key": key, "part": board.code})
    assert asked.status_code == 422
    page = asked.content.decode()
    assert f"{run.number} is open to cut this sheet; in a product it is missing there." in page
    assert "Yes, put it in" in page
    assert asked.form["part"].value() == group_code(board.code)
    sent = {"key": key, "part": group_code(board.code), "confirmed": asked.form.asked_token}
    assert floor.post(url(stool, "put-in"), sent).status_code == 302
    assert Fixing.objects.get().part == board


def test_what_was_confirmed_of_one_sheet_is_no_answer_for_another(lead, floor, operator, key):
    boards = make_boards(operator)
    cut_run(operator, *boards)
    stool = made(operator, stool_design(lead, boards[0].design))
    asked = floor.post(url(stool, "put-in"), {"key": key, "part": boards[0].code})
    sent = {"key": key, "part": boards[1].code, "confirmed": asked.form.asked_token}
    assert floor.post(url(stool, "put-in"), sent).status_code == 422
    assert not Fixing.objects.exists()


def test_a_swap_asks_back_a_sheet_that_a_run_is_to_cut(lead, floor, operator, key):
    old, new = make_boards(operator)
    stool = made(operator, stool_design(lead, old.design))
    put_in(holder=stool, part=old, act=make_act(operator))
    cut_run(operator, new)
    sent = {"key": key, "wrong": "worn", "part": new.code}
    asked = floor.post(url(old, "swap"), sent)
    assert asked.status_code == 422
    assert "Yes, swap them" in asked.content.decode()
    sent |= {"confirmed": asked.form.asked_token}
    assert floor.post(url(old, "swap"), sent).status_code == 302
    assert Fixing.objects.open().get().part == new
