"""The chain-of-custody word of what a lot consists of, and its words for people."""

from collections.abc import Iterable

from django.utils.translation import gettext_lazy as _

from inventory.calculations import custody
from inventory.calculations.custody import Kept, custody_word
from inventory.models.materials import OriginClass

WORDS = {
    custody.IDENTITY_PRESERVED: _("identity preserved"),
    custody.SEGREGATED: _("segregated"),
    custody.CONTROLLED_BLENDING: _("controlled blending"),
    custody.NO_WORD: _("no word: of unknown origin"),
}
MEANINGS = {
    custody.IDENTITY_PRESERVED: _("All of it is from one source and was kept apart."),
    custody.SEGREGATED: _(
        "From several sources, all of one polymer and origin class, with nothing else added."
    ),
    custody.CONTROLLED_BLENDING: _("Mixed with other material; the share of each is known."),
    custody.NO_WORD: _("Nothing of it is known well enough to say how it was kept."),
}


def custody_of(origins: Iterable[tuple[int | None, str, str]]) -> str:
    """Return the word for what consists of lots from outside: (source, origin class, polymer) of each.

    The source is a primary key, the polymer a symbol; None and an empty symbol are unknown.
    """
    return custody_word(
        Kept(source, characteristic(origin_class, symbol))
        for source, origin_class, symbol in origins
    )


def characteristic(origin_class: str, symbol: str) -> tuple[str, str] | None:
    """Return what a lot from outside is known to be, None when its class or polymer is unknown."""
    is_known = symbol and origin_class != OriginClass.UNKNOWN
    return (origin_class, symbol) if is_known else None
