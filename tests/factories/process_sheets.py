"""Closed runs that a process sheet learns from, and settings that the lead chose."""

from decimal import Decimal

from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin, polymer
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run, weigh_out
from workshop.actions.process_sheets import SheetKey, choose_setting, drop_setting
from workshop.actions.readings import note_reading
from workshop.actions.runs import close_run


def make_sheet_key(**fields) -> SheetKey:
    """Return the sheet of a moulded design of PP on an injection machine."""
    design = fields.pop("design", None)
    if design is None:
        design = DesignFactory(made_by="inject", form="part", nominal_mass_mg=100_000)
        design.polymers.add(polymer("PP"), polymer("PE-HD"))
    machine = fields.pop("machine", None) or MachineFactory(kind="injection")
    return SheetKey(design, polymer(fields.pop("symbol", "PP")), machine)


def closed_run(by, key: SheetKey, *, reject_g: int = 0, left_g: int = 0, melts=(230,), note=""):
    """Return a closed run that worked 1 kg into ten pieces, rejects and offcuts."""
    _bin, lot = make_full_bin(by, polymer=key.polymer.symbol)
    run = make_run(by, "inject", design=key.design, machine=key.machine, settings_note=note)
    load(run, lot, by, KG + left_g * 1000)
    for value in melts:
        note_reading(run=run, quantity="melt", value=Decimal(value), act=make_act(by))
    given = {"reject": reject_g, "leftover": left_g, "offcut": 100 - reject_g}
    weigh_out(run, by, "part", 900_000, pieces=10)
    for kind, grams in given.items():
        if grams:
            weigh_out(run, by, kind, grams * 1000, bin=BinFactory())
    return close_run(run=run, act=make_act(by))


def choose(by, key: SheetKey, name: str = "melt", value=228, reason="clean surface", **more):
    """Choose a setting."""
    act = more.pop("act", None) or make_act(by, reason)
    return choose_setting(sheet=key, name=name, value=Decimal(value), act=act, **more)


def drop(by, key: SheetKey, name: str = "melt", reason="new screw", act=None):
    """Drop a setting."""
    return drop_setting(sheet=key, name=name, act=act or make_act(by, reason))
