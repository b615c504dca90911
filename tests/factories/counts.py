"""Counts and rounds through the real actions."""

from inventory.actions.counts import Accepted, count_bin
from inventory.actions.rounds import RoundPlan, start_round
from inventory.models import Reading
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import make_act


def seen(bin, **more) -> Accepted:
    """Return what somebody sees of a bin in the book at this moment, and confirms."""
    fill = open_lot_in(bin)
    figures = {"lot": fill.code, "book_mg": fill.held_mg} if fill else {"lot": "", "book_mg": 0}
    return Accepted(**({"is_confirmed": True} | figures | more))


def count(bin, net_mg: int, by, reason: str = "spilt", **more):
    """Count a bin at a net mass; what is seen is the book of this moment unless given."""
    reading = more.pop("reading", None) or Reading(net_mg, more.pop("scale", None), 0)
    accepted = more.pop("accepted", None) or seen(bin)
    stop, act = more.pop("stop", None), more.pop("act", None) or make_act(by, reason)
    return count_bin(bin=bin, reading=reading, accepted=accepted, act=act, stop=stop)


def make_round(by, **plan):
    """Start a round through the bins in use."""
    return start_round(plan=RoundPlan(**plan), act=make_act(by))
