"""Currencies by their ISO 4217 codes, and how an exact amount is rounded where people read it.

Amounts inside are fractions or decimals and never floats. They are rounded once, at the edge, to
the minor unit of the currency, half to even (ISO 80000-1, annex B, rule A); what is told as "at
least" is rounded down, so that it stays true. Nothing is ever converted.
"""

from decimal import Decimal
from fractions import Fraction

# ISO 4217, list one, without funds, metals, tests and units of account.
LIST_ONE = """
AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN
BZD CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS
GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW
KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD
NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD
SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VED
VES VND VUV WST XAF XCD XOF XPF YER ZAR ZMW
"""
CODES = frozenset(LIST_ONE.split())
NO_MINOR_UNIT = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
WHOLE_ONLY = frozenset(NO_MINOR_UNIT.split())
THOUSANDTHS = frozenset(["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"])
USUAL_DIGITS, SMALL_DIGITS = 2, 3


def minor_digits(code: str) -> int:
    """Return how many decimals the minor unit of a currency has (ISO 4217).

    >>> minor_digits("EUR"), minor_digits("JPY"), minor_digits("KWD")
    (2, 0, 3)
    """
    if code in WHOLE_ONLY:
        return 0
    return SMALL_DIGITS if code in THOUSANDTHS else USUAL_DIGITS


def price_text(amount: Decimal, code: str) -> str:
    """Return a price as it was typed, with at least the decimals of its currency.

    >>> price_text(Decimal("18.4000"), "EUR"), price_text(Decimal("0.3412"), "EUR"), price_text(Decimal(7), "JPY")
    ('18.40', '0.3412', '7')
    """
    typed = -Decimal(amount).normalize().as_tuple().exponent
    return f"{Decimal(amount):.{max(typed, minor_digits(code))}f}"


def rounded(amount: Fraction, digits: int, *, is_least: bool = False) -> Decimal:
    """Return an exact amount with so many decimals: half to even, or down when it is told as "at least".

    >>> rounded(Fraction(1, 8), 2), rounded(Fraction(3, 8), 2), rounded(Fraction(2, 3), 2, is_least=True)
    (Decimal('0.12'), Decimal('0.38'), Decimal('0.66'))
    """
    scaled = Fraction(amount) * 10**digits
    whole = scaled.numerator // scaled.denominator if is_least else round(scaled)
    return Decimal(whole).scaleb(-digits)


def money(amount: Fraction, code: str, *, is_least: bool = False) -> Decimal:
    """Return an amount in whole minor units of its currency, as people read it.

    >>> money(Fraction(1000, 3), "EUR"), money(Fraction(1000, 3), "JPY")
    (Decimal('333.33'), Decimal('333'))
    """
    return rounded(amount, minor_digits(code), is_least=is_least)
