"""Which sheets in stock are spoken for: some open run is to cut them.

Runs are of the app above, which hands down the function that knows them when it starts.
"""

from collections.abc import Callable, Iterable
from copy import copy
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext_lazy as _

from inventory.models import Form
from inventory.queries.pasts import Past, lot_then
from products.models import Part


@dataclass(frozen=True)
class Claim:
    """What somebody is to cut of a sheet or a bag of them: what people call it, and its address."""

    label: str
    url: str
    pieces: int


Claims = dict[int, list[Claim]]
_look_ups: list[Callable[[], Claims]] = []
_look_backs: list[Callable[[Part, datetime], list[Claim]]] = []


def know_claims_by(
    look_up: Callable[[], Claims], look_back: Callable[[Part, datetime], list[Claim]]
) -> None:
    """Take the functions that know all claims now, and those on a part before a moment.

    The app that has runs calls this once.
    """
    _look_ups.append(look_up)
    _look_backs.append(look_back)


def claims() -> Claims:
    """Return what is spoken for now, by the key of the part; as many queries however many sheets."""
    found = {}
    for look_up in _look_ups:
        for part, each in look_up().items():
            found.setdefault(part, []).extend(each)
    return found


def claims_on(part: Part) -> list[Claim]:
    """Return what is spoken for of one sheet; of what is no sheet, nothing."""
    return claims().get(part.pk, []) if part.lot.form == Form.SHEET else []


def claims_before(part: Part, moment: datetime) -> list[Claim]:
    """Return what was spoken for of a part at a moment, wherever it is now."""
    return [claim for look_back in _look_backs for claim in look_back(part, moment)]


def claims_short(part: Part, pieces: int) -> list[Claim]:
    """Return the claims on a sheet for which too little is left when so many pieces go elsewhere."""
    found = claims_on(part)
    return found if part.pieces_left - pieces < pieces_of(found) else []


def taken_from(taken: Part, given: Part, moment: datetime) -> list[Claim]:
    """Return the claims for which too little was left once a part, or some pieces of it, went elsewhere.

    `given` is the part itself, or the one that its pieces became; `moment` is when the book learned of
    it. It says the same ever after, whatever else was taken since. Four queries at most.
    """
    before = claims_before(taken, moment)
    if not before or given == taken:
        return before
    then = copy(taken)
    then.lot = lot_then(taken.lot, Past(known_at=moment))
    return before if then.pieces_left < pieces_of(before) else []


HANDED_OVER = _("%(run)s is open to cut this sheet; handed over it is missing there.")
PUT_IN = _("%(run)s is open to cut this sheet; in a product it is missing there.")
DIVIDED = _("%(run)s is open to cut these; under a code of their own they are missing there.")


def missing_note(found: list[Claim], sentence: str) -> str:
    """Return in a sentence, one of the three above, that runs are to cut what would go, or nothing."""
    return sentence % {"run": ", ".join(claim.label for claim in found)} if found else ""


def pieces_of(found: Iterable[Claim]) -> int:
    """Return how many pieces some claims are for."""
    return sum(claim.pieces for claim in found)


def free_pieces(part: Part, found: Claims) -> int:
    """Return how many pieces of a sheet that is here nobody spoke for."""
    return max(0, part.pieces_left - pieces_of(found.get(part.pk, ())))


def all_spoken_for(found: Claims) -> list[int]:
    """Return the keys of the parts of which nothing is left that nobody spoke for; one query, or none."""
    if not found:
        return []
    parts = Part.objects.filter(pk__in=found).select_related("lot")
    return [part.pk for part in parts if not free_pieces(part, found)]
