"""What lots are besides their codes, such as the design of a part; the apps above know it."""

from collections.abc import Callable, Iterable

from inventory.models import Lot

_look_ups: list[Callable[[Iterable[Lot]], dict[int, str]]] = []


def name_lots_by(look_up: Callable[[Iterable[Lot]], dict[int, str]]) -> None:
    """Take the function that knows the names of some lots; an app that has such lots calls this once."""
    _look_ups.append(look_up)


def lot_names(lots: Iterable[Lot]) -> dict[int, str]:
    """Return the names of those of some lots that have one, by key; a query for each app above."""
    lots = list(lots)
    return {key: name for look_up in _look_ups for key, name in look_up(lots).items()}
