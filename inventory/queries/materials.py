"""Polymers, spellings and colours by the names people type."""

from inventory.models import Colour, Polymer, Spelling


def spelling_key(text: str) -> str:
    """Return a polymer's name without case, spaces and hyphens, as spellings are stored."""
    return "".join(text.casefold().replace("-", "").split())


def polymer_named(text: str) -> Polymer | None:
    """Return the polymer of an ISO 1043-1 symbol or an accepted trade spelling."""
    exact = Polymer.objects.filter(symbol=text.strip()).first()
    if exact:
        return exact
    spelling = Spelling.objects.filter(text=spelling_key(text)).select_related("polymer").first()
    return spelling.polymer if spelling else None


def mixed_colour() -> Colour:
    """Return the colour "mixed"."""
    return Colour.objects.get(is_mixed=True)
