"""What a scanned or typed text belongs to."""

import re

from django.conf import settings
from django.db.models import Value
from django.db.models.functions import Replace, Upper

from inventory.calculations.codes import normalise_code
from inventory.models import Bin, Delivery, Lot, Posting
from inventory.queries.bins import bin_named
from inventory.queries.lots import open_lot_in
from products.models import Part
from products.queries.labels import thing_of
from workshop.calculations.scans import plain_scan
from workshop.models import Charge, Run
from workshop.queries.visits import piece_coded

NUMBER = re.compile(r"([RDP])[- ]?(?=[OIL]*[0-9])([0-9OIL]{1,9})", re.IGNORECASE)
NUMBERED = {"R": Run, "D": Delivery, "P": Posting}
LOOK_ALIKES = str.maketrans("OIL", "011")
TAIL = re.compile(r"https?://\S+/q/([^/?#\s]+)/?(?:[?#]\S*)?", re.IGNORECASE)


def scanned_text(text: str) -> str:
    """Return a scan without what the workshop's scanners are set to add."""
    return plain_scan(text, prefix=settings.SCANNER_PREFIX, suffix=settings.SCANNER_SUFFIX)


def thing_called(text: str):
    """Return the bin, run, delivery, part, posting or lot that a text names, or None.

    Takes codes in any grouping, whole addresses ending in /q/<code>, names of bins, and shop
    numbers such as R-0042, all with look-alike letters and with what a scanner adds. A code that
    a delivery shares with its lot leads to the lot; that of a charge to its run; that of a later
    label to its thing.
    """
    text = scanned_text(text)
    address = TAIL.fullmatch(text)
    name = address[1] if address else text
    return bin_named(name) or numbered_thing(name) or coded_thing(name) or bin_spelled(name)


def lot_called(text: str) -> Lot | None:
    """Return the lot to take from that a text names: what a bin holds, a part's, a delivery's, or itself."""
    thing = thing_called(text)
    if isinstance(thing, Bin):
        return open_lot_in(thing)
    if isinstance(thing, Part | Delivery):
        return thing.lot
    return thing if isinstance(thing, Lot) else None


def bin_called(text: str) -> Bin | None:
    """Return the bin that a text names, or None when it is something else."""
    thing = thing_called(text)
    return thing if isinstance(thing, Bin) else None


def bin_spelled(name: str) -> Bin | None:
    """Return the bin whose name is this one without hyphens and spaces, or the only one that looks so."""
    typed = "".join(name.upper().replace("-", "").split())
    if not typed:
        return None
    flat = Replace(Replace(Upper("name"), Value("-"), Value("")), Value(" "), Value(""))
    bins = Bin.objects.annotate(flat=flat)
    if found := bins.filter(flat=typed).first():
        return found
    for letter, digit in ("O0", "I1", "L1"):
        flat = Replace(flat, Value(letter), Value(digit))
    alike = list(Bin.objects.annotate(alike=flat).filter(alike=typed.translate(LOOK_ALIKES))[:2])
    return alike[0] if len(alike) == 1 else None


def numbered_thing(name: str):
    """Return the run, delivery or posting of a shop number."""
    number = NUMBER.fullmatch(name)
    if number is None or not name.isascii():
        return None
    pk = int(number[2].upper().translate(LOOK_ALIKES))
    return NUMBERED[number[1].upper()].objects.filter(pk=pk).first()


def coded_thing(name: str):
    """Return what carries a code of twelve characters."""
    code = normalise_code(name)
    if code is None:
        return None
    for model in (Run, Part):
        if thing := model.objects.filter(code=code).first():
            return thing
    if lot := Lot.objects.filter(code=code).first():
        charge = Charge.objects.filter(lot=lot).select_related("run").first()
        return charge.run if charge else lot
    return Delivery.objects.filter(code=code).first() or thing_of(code) or piece_coded(code)


def thing_found(text: str):
    """Return what a stranger's text is the code of: bins and labels too, but no names or numbers.

    Names and shop numbers can be guessed; the codes on labels cannot.
    """
    code = normalise_code(text)
    if code is None:
        return None
    return Bin.objects.filter(code=code).first() or coded_thing(code)
