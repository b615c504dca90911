"""What a round tells: who goes where next, what is done, and the sum of it."""

import csv
from io import StringIO

import pytest
from django.utils import timezone

from inventory.actions.postings import reverse_posting
from inventory.actions.rounds import skip_bin
from inventory.queries.rounds import progress_of, round_list, stop_waiting, summary_rows
from tests.factories.counts import count, make_round
from tests.factories.inventory import make_act, make_full_bin
from tests.factories.people import make_person
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def bins(operator):
    return [make_full_bin(operator, bin_fields={"name": f"A-{n}"})[0] for n in range(1, 6)]


@pytest.fixture
def walk(bins, operator):
    return make_round(operator)


def stop(walk, number):
    return walk.stops.get(position=number)


def go(walk, number, by, net_mg=10_000_000):
    return count(stop(walk, number).bin, net_mg, by, stop=stop(walk, number))


def skip(walk, number, by):
    return skip_bin(walk=walk, bin=stop(walk, number).bin, act=make_act(by, "in use"))


def next_of(walk, by):
    row = progress_of(walk).next_for(by)
    return row and row.bin.name


def test_the_first_bin_comes_first(walk, operator):
    assert next_of(walk, operator) == "A-1"


def test_one_goes_on_from_the_own_last_stop(walk, operator, lead):
    go(walk, 1, operator)
    go(walk, 3, lead)
    assert (next_of(walk, operator), next_of(walk, lead)) == ("A-2", "A-4")


def test_what_was_passed_over_comes_at_the_end(walk, operator):
    go(walk, 4, operator)
    go(walk, 5, operator)
    assert next_of(walk, operator) == "A-1"


def test_skipped_and_retired_bins_are_not_next(walk, operator):
    skip(walk, 1, operator)
    second = stop(walk, 2).bin
    second.retired_at = timezone.now()
    second.save()
    assert next_of(walk, operator) == "A-3"


def test_when_all_is_done_nothing_is_next(walk, operator):
    for number in range(1, 6):
        go(walk, number, operator)
    assert next_of(walk, operator) is None


def test_sums_agreed_corrected_and_skipped(walk, operator):
    go(walk, 1, operator)
    go(walk, 2, operator, 9_700_000)
    go(walk, 3, operator, 10_100_000)
    skip(walk, 4, operator)
    told = progress_of(walk)
    assert (told.done, told.total) == (4, 5)
    assert (told.agreed, told.corrected, told.skipped) == (1, 2, 1)
    assert (told.more_mg, told.less_mg, told.net_mg) == (100_000, 300_000, -200_000)


def test_a_reversed_count_is_to_do_again_and_counts_for_nothing(walk, operator, lead):
    done = go(walk, 1, operator, 9_700_000)
    reverse_posting(posting=done.posting, act=make_act(lead, "misread"))
    told = progress_of(walk)
    assert (told.rows[0].state, told.rows[0].was_reversed, told.net_mg) == ("open", True, 0)


def test_a_second_count_stands_for_the_first(walk, operator):
    go(walk, 1, operator)
    go(walk, 1, operator, 9_700_000)
    assert progress_of(walk).rows[0].state == "corrected"


def test_a_round_is_told_in_two_queries(walk, operator, django_assert_num_queries):
    go(walk, 1, operator, 9_700_000)
    skip(walk, 2, operator)
    with django_assert_num_queries(2):
        summary_rows(progress_of(walk))


def test_the_list_counts_what_is_done(walk, operator):
    go(walk, 1, operator)
    skip(walk, 2, operator)
    assert [(row.total, row.done) for row in round_list()] == [(5, 2)]


def test_a_bin_waits_for_the_newest_open_round(walk, operator, bins):
    newer = make_round(operator)
    assert stop_waiting(bins[0]).round == newer


def test_a_counted_bin_waits_no_more(walk, operator, bins):
    go(walk, 1, operator)
    assert stop_waiting(bins[0]) is None


def test_the_summary_reads_back_as_a_table(walk, operator):
    posting = go(walk, 1, operator, 9_700_000).posting
    skip(walk, 2, operator)
    text = StringIO()
    csv.writer(text).writerows(summary_rows(progress_of(walk)))
    first, second, *_rest = csv.DictReader(StringIO(text.getvalue()))
    assert (first["book_kg"], first["scale_kg"]) == ("10.000000", "9.700000")
    assert (first["difference_kg"], first["posting"]) == ("-0.300000", posting.number)
    assert (second["state"], second["reason"], second["by"]) == (
        "skipped",
        "in use",
        "operator-one",
    )


def test_two_people_may_share_a_round(walk, operator):
    other = make_person("operator", "operator-two")
    go(walk, 1, operator)
    go(walk, 2, other)
    assert [row.by for row in progress_of(walk).rows[:2]] == [operator, other]
