"""What a label says, before anyone knows how large it is."""

from dataclasses import dataclass, field
from math import floor
from typing import NamedTuple

from inventory.calculations.codes import group_code
from products.calculations.label_fonts import MONO, clean, unprintable
from products.calculations.qr_codes import LEVELS, AddressError, is_label_address

NO_BREAK = "\u00a0"
ALL, LEAST, LEAST_CLAIM = 0.995, 0.005, 0.01
SHARE_DIGITS = 9  # beyond them is what sums of floats are off by


class Share(NamedTuple):
    """A share (0 to 1) of the make-up; without a colour it is drawn in a neutral tone.

    One that is read as a claim, of recycled material, is never rounded up.
    """

    label: str
    share: float
    srgb: str = ""
    is_claim: bool = False


@dataclass(frozen=True)
class LabelText:
    """One label in the reader's language; what is empty takes no room.

    `kind` is the word for what carries the label (bin, part, bag, sheet, lot, delivery).
    `level` is the error correction of its square code. Raises AddressError
    `label-address` unless the address is a label's and ends in the code that is
    printed beside it, and `label-level` for a level other than Q and H.
    """

    code: str
    address: str
    kind: str = ""
    title: str = ""
    lines: tuple[str, ...] = ()
    mark: str = ""
    resin_number: str = ""
    resin_text: str = ""
    colour_name: str = ""
    srgb: str = ""
    strip: tuple[Share, ...] = field(default=())
    mass_text: str = ""
    date_text: str = ""
    run_text: str = ""
    place_text: str = ""
    level: str = "Q"

    def __post_init__(self):
        if not is_label_address(self.address) or not self.address.endswith(f"/q/{self.code}"):
            raise AddressError("label-address")
        if self.level not in LEVELS:
            raise AddressError("label-level")

    @property
    def groups(self) -> str:
        """The code as it is printed and read aloud."""
        return group_code(self.code)

    @property
    def typed_address(self) -> str:
        """The address as one types it, for who has no scanner."""
        return self.address.partition("://")[2]


def share_text(share: Share) -> str:
    """Return one share as text in whole per cent; no rounding claims none or all of it.

    >>> share_text(Share("white", 0.604)).replace(NO_BREAK, " ")
    'white 60 %'
    >>> share_text(Share("white", 0.999)).replace(NO_BREAK, " ")
    'white > 99 %'
    >>> share_text(Share("post-consumer", 0.699, is_claim=True)).replace(NO_BREAK, " ")
    'post-consumer 69 %'
    """
    exact = round(share.share, SHARE_DIGITS)
    whole = floor(round(exact * 100, SHARE_DIGITS)) if share.is_claim else round(exact * 100)
    if 0 < exact < (LEAST_CLAIM if share.is_claim else LEAST):
        figure = f"<{NO_BREAK}1"
    elif ALL <= exact < 1:
        figure = f">{NO_BREAK}99"
    else:
        figure = f"{whole}"
    return f"{clean(share.label)} {figure}{NO_BREAK}%".strip()


def strip_text(shares: tuple[Share, ...]) -> str:
    """Return the figures under a make-up strip, in its order.

    >>> strip_text((Share("white", 0.6), Share("grey", 0.4))).replace(NO_BREAK, " ")
    'white 60 %, grey 40 %'
    """
    return ", ".join(share_text(share).replace(" ", NO_BREAK) for share in shares if share.share)


def missing_characters(label: LabelText) -> str:
    """Return the characters of a label that its faces do not hold; PDF and PNG show boxes."""
    said = [label.kind, label.title, *label.lines, label.mark, label.resin_text, label.place_text]
    said += [label.colour_name, label.mass_text, label.date_text, label.run_text]
    said += [share.label for share in label.strip]
    return unprintable(clean("".join(said))) + unprintable(label.groups, MONO)
