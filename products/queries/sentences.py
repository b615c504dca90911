"""Sentences of the calculations in the reader's language."""

from datetime import date

from django.utils.translation import gettext

from inventory.calculations.properties import basis_of
from inventory.templatetags.quantities import long_day
from products.calculations.calculators import BASES
from products.calculations.sentences import TEMPLATES, Sentence, restored


def said(sentence: str) -> str:
    """Return a sentence in the reader's language; a text that is no Sentence stays as it is."""
    if not isinstance(sentence, Sentence):
        return sentence
    facts = {name: said_fact(fact) for name, fact in sentence.facts.items()}
    return gettext(TEMPLATES[sentence.code]) % facts


def said_fact(fact) -> str:
    """Return a fact in the reader's language."""
    return long_day(fact) if isinstance(fact, date) else str(said(fact))


def said_again(text: str, stored: dict | None) -> str:
    """Return a stored sentence in the reader's language, its text as it was kept where that is not known."""
    try:
        return said(restored(stored)) if stored else text
    except (KeyError, TypeError, ValueError):
        return text


def basis_said(keys: str) -> str:
    """Return in words on what a figure with the keys of such sources rests, at its weakest."""
    return gettext(BASES[basis_of(tuple(keys.split()))])
