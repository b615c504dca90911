"""What a scanner sends, made plain; and what a code is that is not the workshop's."""

import re
from urllib.parse import urlsplit

from inventory.calculations.codes import normalise_code

LONGEST_SCAN = 500
ARTICLE_DIGITS = (8, 12, 13)
DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2212\u00ad"), "-")
# A scanner may say first what kind of code it read (ISO/IEC 15424), such as ]Q1 for a QR code.
_SYMBOLOGY = re.compile(r"^\][A-Za-z][0-9A-Za-z]")
_FOREIGN = (
    ("wi-fi", re.compile(r"WIFI:", re.IGNORECASE)),
    ("contact", re.compile(r"(BEGIN:VCARD|MECARD:|mailto:|tel:|smsto:)", re.IGNORECASE)),
    ("payment", re.compile(r"(BCD\n|BCD\r|SPC\n|bitcoin:|upi:)", re.IGNORECASE)),
    ("address", re.compile(r"(https?://|www\.)", re.IGNORECASE)),
)


def plain_scan(text: str, *, prefix: str = "", suffix: str = "") -> str:
    """Return a scan without what the scanner adds: prefix, suffix, kind of code, control signs.

    Dashes that a tablet's keyboard makes prettier become hyphens again.

    >>> plain_scan("\\x02]Q1ABCD EFGH JKMN\\r\\n")
    'ABCD EFGH JKMN'
    >>> plain_scan("*B\u201107#", prefix="*", suffix="#")
    'B-07'
    """
    shown = "".join(sign for sign in text if sign.isprintable()).strip()
    shown = _SYMBOLOGY.sub("", shown).removeprefix(prefix).removesuffix(suffix)
    return _SYMBOLOGY.sub("", shown).translate(DASHES).strip()[:LONGEST_SCAN]


def foreign_kind(text: str) -> str:
    """Return what a text that is not ours seems to be: what a QR code or a bar code elsewhere says.

    One of code (as long as ours, but of nothing here), address, wi-fi, contact, payment,
    article (the digits of a shop's bar code) or text.

    >>> foreign_kind("https://elsewhere.example/offer")
    'address'
    >>> foreign_kind("4006381333931")
    'article'
    """
    if normalise_code(text):
        return "code"
    for kind, begins in _FOREIGN:
        if begins.match(text.strip()):
            return kind
    digits = text.strip()
    is_article = digits.isascii() and digits.isdecimal() and len(digits) in ARTICLE_DIGITS
    return "article" if is_article else "text"


def host_of(text: str) -> str:
    """Return whose address a text is, as it is written, empty when that cannot be told.

    >>> host_of("https://elsewhere.example/offer?x=1")
    'elsewhere.example'
    """
    try:
        host = urlsplit(text.strip()).hostname or ""
    except ValueError:
        return ""
    return host if host.isascii() and len(host) <= 80 else ""  # noqa: PLR2004 (more fits no line)
