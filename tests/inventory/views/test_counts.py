"""Counting a bin at the tablet: book against scale, accepted, asked back or refused, nothing typed lost."""

import pytest
from django.urls import reverse

from inventory.actions.lots import hold_lot, move_lot, write_off_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Count
from inventory.queries.lots import open_lot_in
from tests.factories.counts import count, make_round
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    grams,
    make_act,
    make_full_bin,
)


@pytest.fixture
def bin(operator):
    """10 kg of blue PE-HD in a bin of 1 kg tare."""
    return make_full_bin(operator, bin_fields={"name": "B-07"})[0]


def address(bin, query=""):
    return reverse("inventory:bin-count", args=[bin.code]) + query


def figures(answer) -> dict:
    """Return the hidden figures of the page, as the browser would send them back."""
    weighing = answer.context["weighing"]
    return {
        "lot": weighing.fill.code if weighing.fill else "",
        "book_mg": weighing.book.mg,
        "net_mg": weighing.net.mg,
        **({"is_confirmed": "on"} if weighing.question else {}),
    }


def reading(shown="10.7", **changes) -> dict:
    return {"shown": shown, "weighing": "gross"} | changes


def compare(client, bin, shown="10.7", **changes):
    return client.get(address(bin), reading(shown, **changes))


def accept(client, bin, key, shown="10.7", query="", **fields):
    """Compare, then accept what the page shows."""
    names = {"weighing", "scale"} & fields.keys()
    typed = reading(shown, **{name: fields[name] for name in names})
    seen = figures(client.get(address(bin), typed))
    return client.post(address(bin, query), typed | seen | {"key": key, "cause": "spilt"} | fields)


def text(answer):
    return " ".join(answer.content.decode().replace("\xa0", " ").split())


def test_the_page_takes_the_tare_off_and_shows_book_scale_and_difference(floor, bin):
    answer = compare(floor, bin)
    assert answer.context["weighing"].net.mg == 9_700_000
    assert all(figure in text(answer) for figure in ("10 kg", "9.7 kg", "−0.3 kg"))
    assert not Count.objects.exists()


def test_net_takes_no_tare_off(floor, bin):
    assert compare(floor, bin, weighing="net").context["weighing"].net.mg == 10_700_000


def test_a_bin_without_a_tare_starts_as_net(floor, operator):
    bin = make_full_bin(operator, bin_fields={"tare_mg": 0})[0]
    assert floor.get(address(bin)).context["form"]["weighing"].value() == "net"


def test_accepting_books_the_difference_and_leads_to_the_bin(floor, bin, key):
    answer = accept(floor, bin, key)
    assert answer.headers["Location"] == bin.get_absolute_url()
    done = Count.objects.get()
    assert (done.net_mg, done.reason) == (9_700_000, "spilt or swept away")
    assert "300 g booked out of B-07. P-" in text(floor.get(bin.get_absolute_url()))


def test_words_are_added_to_the_reason_that_was_tapped(floor, bin, key):
    accept(floor, bin, key, reason="the lid was off")
    assert Count.objects.get().reason == "spilt or swept away: the lid was off"


def test_agreeing_needs_no_reason(floor, bin, key):
    accept(floor, bin, key, shown="11", cause="")
    assert (Count.objects.get().posting, Count.objects.get().reason) == (None, "")


def test_a_correction_without_a_reason_is_refused_and_the_mass_stays(floor, bin, key):
    answer = accept(floor, bin, key, cause="")
    assert (answer.status_code, Count.objects.count()) == (422, 0)
    assert 'name="shown" value="10.7"' in text(answer)


def test_a_changed_book_is_refused_with_the_new_figures_and_the_typed_mass(
    floor, bin, key, operator
):
    page = figures(compare(floor, bin)) | reading() | {"key": key, "cause": "spilt"}
    move_lot(lot=open_lot_in(bin), bin=BinFactory(), mass=grams(2500), act=make_act(operator))
    answer = floor.post(address(bin), page)
    assert (answer.status_code, Count.objects.count()) == (422, 0)
    assert 'name="book_mg" value="7500000"' in text(answer)
    assert "now says 7.500 kg" in text(answer)
    assert 'name="shown" value="10.7"' in text(answer)


def test_after_a_changed_book_the_same_page_may_be_accepted(floor, bin, key, operator):
    typed = reading() | {"key": key, "cause": "spilt"}
    page = figures(compare(floor, bin))
    move_lot(lot=open_lot_in(bin), bin=BinFactory(), mass=grams(100), act=make_act(operator))
    refused = floor.post(address(bin), page | typed)
    assert floor.post(address(bin), figures(refused) | typed).status_code == 302
    assert open_lot_in(bin).held_mg == 9_700_000


def test_a_tare_that_changed_meanwhile_is_refused_with_the_new_figures(floor, bin, key):
    page = figures(compare(floor, bin)) | reading() | {"key": key, "cause": "spilt"}
    bin.tare_mg = 1_200_000
    bin.save()
    answer = floor.post(address(bin), page)
    assert (answer.status_code, Count.objects.count()) == (422, 0)
    assert answer.context["weighing"].net.mg == 9_500_000


def test_weighing_again_keeps_what_was_typed(floor, bin):
    again = floor.get(address(bin, "?" + compare(floor, bin).context["again"]))
    assert (again.status_code, again.context["weighing"]) == (200, None)
    assert 'value="10.7"' in text(again)


def test_a_surprise_is_asked_on_the_page_before_it_is_booked(floor, bin):
    answer = compare(floor, bin, "10")
    assert "was the bin on the scale" in text(answer)
    assert 'name="is_confirmed"' in text(answer)


def test_a_surprise_that_nobody_was_asked_about_is_refused(floor, bin, key):
    answer = accept(floor, bin, key, "10", is_confirmed="")
    assert (answer.status_code, Count.objects.count()) == (422, 0)


@pytest.mark.parametrize(("shown", "net_mg"), [("0", 0), ("0,000 kg", 0), ("1.0", 0)])
def test_nothing_on_the_scale_is_a_reading(floor, bin, shown, net_mg):
    weighing = "net" if shown.startswith("0") else "gross"
    answer = compare(floor, bin, shown, weighing=weighing)
    assert answer.context["weighing"].net.mg == net_mg


@pytest.mark.parametrize("shown", ["", "-0", "-1", "ten", "1.2.3", "1e3", "\u2212" + "0", "9" * 25])
def test_what_is_no_mass_is_refused(floor, bin, shown):
    answer = compare(floor, bin, shown)
    assert (answer.status_code, answer.context["weighing"]) == (422, None)


@pytest.mark.parametrize(
    "odd",
    [
        {"net_mg": "x"},
        {"book_mg": "9" * 40},
        {"lot": "z" * 50},
        {"scale": "x"},
        {"cause": "x"},
        {"shown": "x"},
    ],
)
def test_odd_figures_are_refused_without_an_error(floor, bin, key, odd):
    page = figures(compare(floor, bin)) | reading() | {"key": key, "cause": "spilt"}
    assert floor.post(address(bin), page | odd).status_code == 422
    assert not Count.objects.exists()


def test_more_of_a_held_fill_is_refused_with_what_was_typed(floor, bin, key, operator):
    hold_lot(lot=open_lot_in(bin), act=make_act(operator, "smells"))
    answer = accept(floor, bin, key, shown="11.5", cause="left")
    assert (answer.status_code, Count.objects.count()) == (422, 0)
    assert "the lead must lift the hold first" in text(answer)


def test_mass_in_an_emptied_bin_is_booked_when_it_is_what_it_held(floor, bin, key, operator):
    write_off_lot(lot=open_lot_in(bin), act=make_act(operator, "found empty"))
    assert "It is what this bin held last" in text(compare(floor, bin, "1.5"))
    accept(floor, bin, key, shown="1.5", cause="left", is_last="on")
    assert open_lot_in(bin).held_mg == KG // 2


def test_the_scale_of_the_last_count_is_chosen_already(floor, bin, key):
    ScaleFactory()
    scale = ScaleFactory()
    accept(floor, bin, key, shown="11", scale=scale.pk)
    assert floor.get(address(bin)).context["form"]["scale"].value() == scale.pk


def test_counting_on_a_round_leads_to_the_next_bin(floor, bin, key, operator):
    other = make_full_bin(operator, bin_fields={"name": "B-08"})[0]
    walk = make_round(operator)
    answer = accept(floor, bin, key, shown="11", query=f"?round={walk.pk}")
    assert answer.headers["Location"] == address(other, f"?round={walk.pk}")
    assert Count.objects.get().stop.round == walk


def test_the_last_bin_of_a_round_leads_to_its_summary(floor, bin, key, operator):
    walk = make_round(operator)
    answer = accept(floor, bin, key, shown="11", query=f"?round={walk.pk}")
    assert answer.headers["Location"] == walk.get_absolute_url()


@pytest.mark.parametrize("number", ["x", "999999", "9" * 30, "-1"])
def test_a_round_that_is_none_is_not_found(floor, bin, number):
    assert floor.get(address(bin, f"?round={number}")).status_code == 404


def test_a_bin_off_the_route_is_not_found_on_it(floor, bin, operator):
    walk = make_round(operator)
    assert floor.get(address(BinFactory(), f"?round={walk.pk}")).status_code == 404


def test_an_auditor_counts_nothing_and_reads_all_counts(reader, bin, operator):
    count(bin, 9_700_000, operator)
    assert reader.get(address(bin)).status_code == 403
    assert "−0.300 kg" in text(reader.get(reverse("inventory:count-list")))


def test_the_bin_says_when_it_was_counted_last(floor, bin, operator):
    assert "Never counted." in text(floor.get(bin.get_absolute_url()))
    count(bin, 10 * KG, operator)
    assert "by operator-one: it agreed." in text(floor.get(bin.get_absolute_url()))


def test_the_bin_says_that_its_count_was_reversed(floor, bin, operator, lead):
    done = count(bin, 9_700_000, operator)
    reverse_posting(posting=done.posting, act=make_act(lead, "misread"))
    page = text(floor.get(bin.get_absolute_url()))
    assert "corrected by −300 g" in page
    assert "reversed" in page


def test_the_bin_offers_to_be_counted_for_a_round_that_waits(floor, bin, operator):
    walk = make_round(operator)
    assert address(bin, f"?round={walk.pk}") in text(floor.get(bin.get_absolute_url()))


def test_the_board_sorts_by_the_last_count(floor, bin, operator):
    never = BinFactory(name="Z-99")
    count(bin, 10 * KG, operator)
    answer = floor.get(reverse("inventory:bin-board"), {"sort": "counted"})
    assert [card.bin for card in answer.context["cards"]] == [never, bin]
    assert "never counted" in text(answer)


@pytest.mark.parametrize(
    ("query", "found"),
    [({"q": "B-07"}, 2), ({"q": "Z"}, 0), ({"state": "agreed"}, 1), ({"state": "corrected"}, 1),
     ({"state": "reversed"}, 0), ({"sort": "bin"}, 2)],
)  # fmt: skip
def test_counts_are_searched_and_filtered(floor, bin, operator, query, found):
    count(bin, 10 * KG, operator)
    count(bin, 9_700_000, operator)
    answer = floor.get(reverse("inventory:count-list"), query)
    assert len(answer.context["page"].object_list) == found


def test_the_list_of_counts_says_what_to_do_while_it_is_empty(floor):
    assert "Nothing was counted yet" in text(floor.get(reverse("inventory:count-list")))
