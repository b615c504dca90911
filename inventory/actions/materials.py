"""Reference data is loaded by set-up; blends are switched on by the lead."""

import json
from pathlib import Path

from django.contrib.auth.models import Group
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import record_change
from inventory.actions.refusals import refusal
from inventory.models import Blend, Colour, Polymer, Spelling
from inventory.queries.access import ROLES
from inventory.queries.materials import spelling_key

ALL_PERMILLE = 1000


@transaction.atomic
def load_reference(path: Path) -> tuple[int, int]:
    """Load polymers, spellings, colours and roles from a reference file; loading again renews them.

    Returns the numbers of polymers and colours.
    """
    document = json.loads(path.read_text())
    for row in document["polymers"]:
        load_polymer(dict(row))
    for row in document["colours"]:
        Colour.objects.update_or_create(name=row["name"], defaults=row)
    for role in ROLES:
        Group.objects.get_or_create(name=role)
    return len(document["polymers"]), len(document["colours"])


def load_polymer(row: dict) -> Polymer:
    """Write one polymer and its spellings."""
    spellings = row.pop("spellings")
    polymer, _created = Polymer.objects.update_or_create(symbol=row["symbol"], defaults=row)
    for text in {spelling_key(each) for each in [*spellings, polymer.symbol]}:
        Spelling.objects.update_or_create(text=text, defaults={"polymer": polymer})
    return polymer


@transaction.atomic
def switch_blend(
    *, main: Polymer, added: Polymer, is_on: bool, act: Act, most_added_permille: int | None = None
) -> Blend:
    """Allow a blend of two polymers with a mark of its own, or stop allowing it.

    Refuses `reason`, `blend` for one polymer twice, a blend of blends, reject material, or
    a limit that is not between 1 and 999 per mille.
    A repeated UUID changes nothing.
    """
    pair = {"main": main, "added": added}
    request = act.request("blend", **pair, is_on=is_on, most_added_permille=most_added_permille)
    if earlier(act, request):
        return Blend.objects.get(**pair)
    need_reason(act)
    guard_pair(main, added)
    if most_added_permille is not None and not 0 < most_added_permille < ALL_PERMILLE:
        raise refusal("blend", _("The limit lies above 0 and below 100\u00a0%."))
    result, _created = Polymer.objects.get_or_create(
        symbol=f"{main.symbol}+{added.symbol}",
        defaults={
            "name": f"{main.name} + {added.name}"[:120],
            "resin_code": 7,
            "resin_text": "OTHER",
        },
    )
    fields = {"is_on": is_on, "most_added_permille": most_added_permille, "reason": act.reason}
    who = {"switched_by": act.by, "switched_at": act.at}
    blend, _created = Blend.objects.update_or_create(
        **pair, defaults={"result": result, **fields, **who}
    )
    record_change(act=act, subject=result.symbol, request=request, row=blend)
    return blend


def guard_pair(main: Polymer, added: Polymer) -> None:
    """Refuse a pair that can be no blend."""
    if main == added or Blend.objects.filter(result__in=[main, added]).exists():
        raise refusal("blend", _("A blend is made of two different single polymers."))
    if Blend.objects.filter(main=added, added=main).exists():
        raise refusal("blend", _("This pair exists the other way round; switch that one."))
    if main.is_rejected or added.is_rejected:
        raise refusal("blend", _("Reject material takes part in no blend."))
