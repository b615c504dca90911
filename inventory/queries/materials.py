"""Polymers, spellings and colours by the names people type."""

from django.db.models import QuerySet

from inventory.models import Blend, Colour, Polymer, Spelling


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


def polymer_list() -> QuerySet[Polymer]:
    """Return every polymer with its spellings at hand."""
    return Polymer.objects.select_related("blend").prefetch_related("spellings")


def blend_list() -> QuerySet[Blend]:
    """Return every blend that was ever switched, with its polymers."""
    return Blend.objects.select_related("result", "main", "added", "switched_by")
