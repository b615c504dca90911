"""Recycled content as ISO 14021 counts it, always rounded down, and the sentence that claims it.

X % = 100 A / P: recycled mass over product mass. Post-consumer material (used up by people or
firms) and pre-consumer material (waste of somebody else's process) count; virgin material,
additives and whatever is of unknown origin stand in the denominator only. Own offcuts have no
class of their own: they carry the make-up of what they were cut from, so no loop raises a
share. EN 15343 counts the same way.

Sources: the definitions of ISO 14021 as public pages quote them; the clause of the formula is
from memory.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import floor

from products.calculations.sentences import Sentence

METHOD = "ISO 14021, recycled content"
POST_CONSUMER, PRE_CONSUMER, UNKNOWN = "post-consumer", "pre-consumer", "unknown"
CLASSES = frozenset({POST_CONSUMER, PRE_CONSUMER, UNKNOWN, "virgin", "additive"})
BILLION = 10**9
NOTHING = Fraction(1, 10**24)  # of a million tonnes a billionth of a milligram


@dataclass(frozen=True)
class RecycledContent:
    """Exact shares by mass, 0 to 1; what is neither recycled nor unknown is the rest."""

    post_consumer: Fraction
    pre_consumer: Fraction
    unknown: Fraction

    @property
    def recycled(self) -> Fraction:
        """Post- and pre-consumer material together."""
        return self.post_consumer + self.pre_consumer


def recycled_content(masses: Mapping[str, int | Fraction]) -> RecycledContent:
    """Return the recycled content of masses, or shares, by origin class.

    They are taken relative to their sum, in one unit. Raises ValueError for an origin class
    that there is not, for what is negative, and when there is no mass at all.

    Of 100 kg, 60 are post-consumer, 10 pre-consumer from another firm, 20 virgin and 10 are
    own offcuts of virgin material:

    >>> found = recycled_content({"post-consumer": 60, "pre-consumer": 10, "virgin": 20 + 10})
    >>> floor_tenths(found.recycled)
    '70.0'
    """
    if strange := masses.keys() - CLASSES:
        raise ValueError(f"{sorted(strange)[0]!r} is no origin class")
    total = sum(masses.values())
    if total <= 0 or any(mass < 0 for mass in masses.values()):
        raise ValueError("masses are not negative and sum to more than nothing")
    share = {each: Fraction(masses.get(each, 0)) / total for each in CLASSES}
    return RecycledContent(share[POST_CONSUMER], share[PRE_CONSUMER], share[UNKNOWN])


def near_fraction(share: float) -> Fraction:
    """Return a share that was swept in floats as the nearest billionth, so that 0.7 is 7/10.

    For previews only, which no passport keeps: a claim is never rounded up.

    >>> near_fraction(0.1 + 0.2 + 0.4)
    Fraction(7, 10)
    """
    return Fraction(round(share * BILLION), BILLION)


def floor_percent(share: Fraction) -> int:
    """Return a share as whole per cent, rounded down.

    >>> floor_percent(Fraction(7, 9))
    77
    """
    return floor((share + NOTHING) * 100)


def floor_permille(share: Fraction) -> int:
    """Return a share in thousandths, rounded down."""
    return floor((share + NOTHING) * 1000)


def floor_tenths(share: Fraction) -> str:
    """Return a share as per cent with one decimal, rounded down.

    >>> floor_tenths(Fraction(7, 9))
    '77.7'
    """
    whole, tenth = divmod(floor_permille(share), 10)
    return f"{whole}.{tenth}"


def claim_sentence(content: RecycledContent, *, on: date, position: str) -> Sentence:
    """Return the claim in one or two plain sentences, with its date, method and place in the ledger.

    "At least" stands wherever the figure is a lower bound: something is of unknown origin, or
    rounding down cut something off. Below 1 % nothing is claimed.

    >>> content = recycled_content({"post-consumer": 7, "virgin": 3})
    >>> print(claim_sentence(content, on=date(2026, 3, 12), position="P-00042"))
    Contains 70 % post-consumer recycled material, by mass, computed from the workshop's records \
of deliveries as they stood at posting P-00042 on 12 March 2026; method ISO 14021, recycled content.
    """
    amount = _amount(content)
    code = "claim" if amount else "no-claim"
    facts = {"position": position, "on": on, "method": METHOD}
    facts |= {"amount": amount} if amount else {}
    return Sentence(f"{code}-with-unknown" if content.unknown else code, **facts)


def _amount(content: RecycledContent) -> Sentence | None:
    kinds = ((content.post_consumer, POST_CONSUMER), (content.pre_consumer, PRE_CONSUMER))
    counted = [(share, Sentence(kind)) for share, kind in kinds if floor_percent(share)]
    if not floor_percent(content.recycled):
        return None
    share = _bound(content.recycled, content)
    if not counted:
        return Sentence("recycled", share=share)
    first, first_kind = counted[0]
    if len(counted) == 1 and first == content.recycled:
        return Sentence("recycled-one-kind", share=share, kind=first_kind)
    facts = {"share": share, "first": _bound(first, content), "first_kind": first_kind}
    if len(counted) == 1:
        return Sentence("recycled-with-kind", **facts)
    second, second_kind = counted[1]
    facts |= {"second": _bound(second, content), "second_kind": second_kind}
    return Sentence("recycled-with-kinds", **facts)


def _bound(share: Fraction, content: RecycledContent) -> Sentence:
    percent = floor_percent(share)
    is_lower = content.unknown or Fraction(percent, 100) != share
    return Sentence("percent-at-least" if is_lower else "percent", percent=percent)
