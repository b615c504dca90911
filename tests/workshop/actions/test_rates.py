"""The lead says what an hour, a kilowatt-hour, machines and tooling cost."""

from datetime import date

import pytest

from inventory.models import Change
from tests.factories.book import refused
from tests.factories.costs import LONG_AGO, put_rate, set_euro
from tests.factories.inventory import make_act
from tests.factories.workshop import MachineFactory, ToolingFactory
from workshop.models import Rate
from workshop.queries.rates import rate_board, rate_book

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)


def test_a_rate_holds_from_its_day_and_is_written_down(lead):
    set_euro(lead)
    put_rate(lead, "labour", 18)
    row = put_rate(lead, "labour", 20, since=date(2026, 6, 1))
    press = MachineFactory()
    asked = [rate_book().on(day, press).labour_per_h for day in (DAY, date(2026, 6, 1))]
    assert asked == [18, 20]
    assert Change.objects.filter(verb="set rate", row=row.pk, subject="labour").exists()


def test_what_is_said_to_be_unknown_is_unknown_again(lead):
    set_euro(lead)
    put_rate(lead, "electricity", "0.31")
    put_rate(lead, "electricity", None)
    assert rate_book().on(DAY, MachineFactory()).per_kwh is None


def test_power_needs_no_currency_and_is_of_one_machine(lead):
    press, saw = MachineFactory(), MachineFactory(kind="cutter")
    put_rate(lead, "power", 4000, press)
    book = rate_book()
    assert (book.on(DAY, press).drawn_kw, book.on(DAY, saw).drawn_kw) == (2, None)


def test_tooling_has_a_price_and_a_life(lead):
    set_euro(lead)
    tool = ToolingFactory()
    put_rate(lead, "tooling-price", 900, tool)
    put_rate(lead, "tooling-cycles", 9000, tool)
    assert rate_book().on(DAY, MachineFactory(), tool).tooling_per_cycle * 10 == 1


def test_refuses_money_without_a_currency_on_its_day(lead):
    set_euro(lead, date(2026, 1, 1))
    with refused("no-currency"):
        put_rate(lead, "labour", 18, since=date(2025, 12, 31))


@pytest.mark.parametrize(
    ("name", "amount"), [("labour", "-1"), ("power", 0), ("load", 101), ("load", 0)]
)
def test_refuses_an_amount_that_cannot_be(lead, name, amount):
    set_euro(lead)
    thing = None if name == "labour" else MachineFactory()
    with refused("absurd"):
        put_rate(lead, name, amount, thing)


@pytest.mark.parametrize("name", ["tooling-cycles"])
@pytest.mark.parametrize("amount", [0, "1.5"])
def test_refuses_a_life_that_is_no_number_of_cycles(lead, name, amount):
    tool = ToolingFactory()
    with refused("absurd"):
        put_rate(lead, name, amount, tool)


def test_refuses_a_rate_of_something_else(lead):
    set_euro(lead)
    tool = ToolingFactory()
    with refused("wrong-thing"):
        put_rate(lead, "power", 100, tool)
    with refused("wrong-thing"):
        put_rate(lead, "labour", 100, tool)


def test_refuses_a_day_that_cannot_be(lead):
    press = MachineFactory()
    with refused("day"):
        put_rate(lead, "power", 100, press, since=date(1999, 1, 1))


def test_a_repeat_sets_no_second_rate(lead):
    press, act = MachineFactory(), make_act(lead)
    assert put_rate(lead, "power", 100, press, act=act) == put_rate(
        lead, "power", 100, press, act=act
    )
    with refused("key-reused"):
        put_rate(lead, "power", 101, press, act=act)
    assert Rate.objects.count() == 1


def test_the_board_takes_as_many_queries_for_any_number_of_things(lead, django_assert_num_queries):
    set_euro(lead)
    for _ in range(3):
        put_rate(lead, "power", 100, MachineFactory())
        put_rate(lead, "tooling-price", 100, ToolingFactory())
    with django_assert_num_queries(4):
        board = rate_board(LONG_AGO)
    assert (len(board.machines), len(board.tooling), board.currency) == (3, 3, "EUR")
