"""What is said where a design is meant for a use that needs an approval no record can give.

The laws named are those of the EU, from their titles and summaries; they defer to the place's own.
"""

from collections.abc import Iterable

from products.calculations.sentences import Sentence

CAUTIONS = {
    "food": Sentence("use-food"),
    "toys": Sentence("use-toys"),
    "mains": Sentence("use-mains"),
    "load": Sentence("use-load"),
    "fire": Sentence("use-fire"),
}


def cautions_of(uses: Iterable[str]) -> list[Sentence]:
    """Return one sentence for each use, in a fixed order; KeyError for a use there is not.

    >>> [each.code for each in cautions_of(["load", "food"])]
    ['use-food', 'use-load']
    """
    asked = {use: CAUTIONS[use] for use in uses}
    return [sentence for use, sentence in CAUTIONS.items() if use in asked]
