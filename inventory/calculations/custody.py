"""How material was kept on its way: the chain-of-custody models of ISO 22095 that a ledger of lots shows.

From the definitions of ISO 22095:2020 as public pages restate them: identity preserved is from
one source and kept apart throughout; segregated is from several sources of one characteristic,
with nothing else added; controlled blending is mixed with other material in a share known for
each output. Mass balance and book and claim separate the record from the material, which a
ledger of physical lots never does, so they are not here. The models tell how material was kept,
not what it is: none of them supports a claim by itself.

The characteristic is polymer and origin class. What is unknown keeps none: beside known
material it is other material in a recorded share, alone it has no word.
"""

from collections.abc import Hashable, Iterable
from typing import NamedTuple

IDENTITY_PRESERVED = "identity-preserved"
SEGREGATED = "segregated"
CONTROLLED_BLENDING = "controlled-blending"
NO_WORD = ""
STRONGEST_FIRST = (IDENTITY_PRESERVED, SEGREGATED, CONTROLLED_BLENDING)


class Kept(NamedTuple):
    """Who an origin came from, and the characteristic that it is known to have; None is unknown."""

    source: Hashable
    characteristic: Hashable


def custody_word(origins: Iterable[Kept]) -> str:
    """Return the word for what consists of these origins, empty where nothing of it is known.

    Each origin more can only weaken the word, so it is no stronger than that of any input.

    >>> custody_word([Kept("mill", "PP")]), custody_word([Kept("mill", "PP"), Kept("shop", "PP")])
    ('identity-preserved', 'segregated')
    """
    kept = set(origins)
    characteristics = {each.characteristic for each in kept}
    if characteristics <= {None}:
        return NO_WORD
    if len(characteristics) > 1:
        return CONTROLLED_BLENDING
    sources = {each.source for each in kept}
    return IDENTITY_PRESERVED if len(sources) == 1 and None not in sources else SEGREGATED


def weakest(words: Iterable[str]) -> str:
    """Return the weakest of some words, leaving out those that are empty.

    >>> weakest(["segregated", "identity-preserved", ""])
    'segregated'
    """
    found = [word for word in words if word]
    return max(found, key=STRONGEST_FIRST.index, default=NO_WORD)
