"""The lead chooses a setting, which then stands first on a process sheet, or drops it again."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from inventory.models import Polymer
from products.actions.designs import guard_polymer
from products.calculations.foreign_sheets import may_be_time
from products.calculations.quantities import QUANTITIES, can_be
from products.models import Design
from workshop.actions.runs import guard_machine
from workshop.models import ChosenSetting, Machine
from workshop.queries.process_sheets import (
    chosen_now,
    chosen_rows,
    is_time,
    setting_unit,
    settings_of,
)
from workshop.queries.readings import fume_ceiling_c

MOST = Decimal(1_000_000)


@dataclass(frozen=True)
class SheetKey:
    """The sheet that a setting stands on: a design in a polymer on a machine."""

    design: Design
    polymer: Polymer
    machine: Machine

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        facts = {"design": self.design.pk, "machine": self.machine.pk}
        return facts | {"polymer": self.polymer.symbol}


@transaction.atomic
def choose_setting(
    *, sheet: SheetKey, name: str, value: Decimal, unit: str = "", act: Act
) -> ChosenSetting:
    """Put a value first on a sheet, in its unit; what is read and timed has a unit of its own.

    Refuses `reason`, `wrong-polymer`, `wrong-machine`, `no-setting` without a name, or for what is read
    or timed in other operations only, `absurd`, and `above-fume` for a heat at which the
    polymer gives off fumes. A repeated UUID changes nothing.
    """
    name, unit = name.strip(), setting_unit(name.strip()) or unit.strip()
    said = {"sheet": sheet.plain(), "name": name, "value": value, "unit": unit}
    request = act.request("choose setting", **said)
    if done := earlier(act, request):
        return outcome_of(done, ChosenSetting)
    need_reason(act)
    guard_sheet(sheet)
    guard_name(sheet.design, name)
    guard_value(sheet.polymer, name, value)
    return written(sheet, {"name": name, "value": value, "unit": unit}, request, act)


@transaction.atomic
def drop_setting(*, sheet: SheetKey, name: str, act: Act) -> ChosenSetting:
    """Let what was learned stand first again; the history stays.

    Refuses `reason`, and `not-chosen` where nothing was. A repeated UUID changes nothing.
    """
    request = act.request("drop setting", sheet=sheet.plain(), name=name)
    if done := earlier(act, request):
        return outcome_of(done, ChosenSetting)
    need_reason(act)
    held = chosen_now(chosen_rows(sheet.design, sheet.polymer, sheet.machine)).get(name)
    if held is None:
        raise refusal("not-chosen", _("Nobody chose this setting; there is nothing to drop."))
    return written(sheet, {"name": name, "value": None, "unit": held.unit}, request, act)


def written(sheet: SheetKey, fields: dict, request: dict, act: Act) -> ChosenSetting:
    """Write the row of a setting and the change that it is."""
    row = ChosenSetting.objects.create(
        design=sheet.design,
        polymer=sheet.polymer,
        machine=sheet.machine,
        note=act.reason,
        happened_at=act.at,
        by=act.by,
        **fields,
    )
    record_change(act=act, subject=str(sheet.design), request=request, row=row)
    return row


def guard_sheet(sheet: SheetKey) -> None:
    """Refuse a polymer of which the design is not made, and a machine that does not make it."""
    guard_polymer(sheet.design, sheet.polymer)
    guard_machine(sheet.machine, sheet.design.made_by)


def guard_name(design: Design, name: str) -> None:
    """Refuse a setting without a name, and one that is not read or timed when the design is made."""
    is_known = name in QUANTITIES or is_time(name)
    if not name or (is_known and name not in settings_of(design)):
        raise refusal("no-setting", _("This is not set when the design is made; choose another."))


def guard_value(polymer: Polymer, name: str, value: Decimal) -> None:
    """Refuse a value that cannot be true, or at which the polymer gives off fumes."""
    fits = can_be(name, value) if name in QUANTITIES else abs(value) < MOST
    if not fits or (is_time(name) and not may_be_time(value)):
        raise refusal("absurd", _("No machine is set to such a value; look at it again."))
    ceiling_c = fume_ceiling_c(polymer)
    if name in QUANTITIES and QUANTITIES[name].is_heat and ceiling_c and value > ceiling_c:
        raise refusal(
            "above-fume",
            _("Above %(ceiling)s °C %(symbol)s gives off fumes; choose a lower value."),
            ceiling=ceiling_c,
            symbol=polymer.symbol,
        )
