"""A small workshop to tell of: offcuts that go round, a move undone, another corrected."""

from inventory.actions.lots import move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Lot, Posting
from inventory.queries.exports import BACK, Scope
from tests.factories.inventory import BinFactory, grams, make_act, make_full_bin
from tests.factories.loops import Loop
from tests.factories.mendings import make_fix, mend
from tests.kept import kept

ROUNDS = 3
SEED = 3


@kept
def make_history(by) -> None:
    """Fill the book through the real actions, a reversal and a correction among them."""
    Loop(by, SEED).go_round(ROUNDS)
    _bin, lot = make_full_bin(by)
    wrong, other = (
        move_lot(lot=lot, bin=BinFactory(), mass=grams(2000), act=make_act(by)) for _ in range(2)
    )
    reverse_posting(posting=wrong, act=make_act(by, "wrong bin"))
    mend(by, make_fix(other, 1.5))


def traced(lot: Lot, direction: str = BACK) -> Scope:
    """Return the scope of a lot's trace."""
    return Scope(lot.code, (lot,), direction)


def whole_book() -> Scope:
    """Return the scope of all that ever happened."""
    times = Posting.objects.order_by("happened_at").values_list("happened_at", flat=True)
    return Scope("all", since=times.first(), until=times.last().replace(year=times.last().year + 1))
