"""Pages in a made-up language, whose every word stands in brackets: what does not is no word of ours."""

import re
from gettext import NullTranslations
from html.parser import HTMLParser

import pytest
from django.urls import reverse
from django.utils.translation import trans_real

from inventory.models import Bin, Colour, Polymer, Source
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db
WORD = re.compile(r"[^\W\d_]{2,}")
BRACKETED = re.compile(r"⟦[^⟦⟧]*⟧")
# A posting keeps the words "run R-0042" as they stood in the book.
CODES = re.compile(
    r"(?:\brun )?\b[A-Z]{1,3}-\d+\b|\b[0-9A-Z]{4}(?:[\s\u00a0][0-9A-Z]{4}){2}\b|\b[0-9A-Z]{12}\b"
)
UNITS = {"kg", "mg"}
SPOKEN = {"title", "aria-label", "placeholder", "alt"}


class Bracketed(NullTranslations):
    """Puts every message into brackets."""

    def gettext(self, message):
        return f"⟦{message.rpartition(chr(4))[2]}⟧"

    def ngettext(self, one, many, n):
        return self.gettext(one if n == 1 else many)

    def to_language(self):
        return "en-gb"

    def language(self):
        return "en-gb"


class Seen(HTMLParser):
    """Collects what people see or hear of a page."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.texts, self.attributes, self.unseen = [], [], 0

    def handle_starttag(self, tag, attrs):
        self.unseen += tag in ("script", "style")
        self.attributes += [text for name, text in attrs if name in SPOKEN and text]

    def handle_endtag(self, tag):
        self.unseen -= tag in ("script", "style")

    def handle_data(self, data):
        self.texts += [] if self.unseen else [data]


@pytest.fixture
def bracketed(monkeypatch):
    words = Bracketed()
    monkeypatch.setitem(trans_real._translations, "en-gb", words)  # noqa: SLF001
    monkeypatch.setattr(trans_real, "_default", words)
    trans_real.activate("en-gb")
    yield
    monkeypatch.undo()
    trans_real.activate("en-gb")


def words_left(html, names):
    """Return the words outside brackets that are no code, unit or name of the workshop's things."""
    seen = Seen()
    seen.feed(html)
    return [
        word
        for text in ["\n".join(seen.texts), *seen.attributes]
        for word in WORD.findall(own_words(text, names))
        if word not in UNITS
    ]


def own_words(text, names):
    """Return a text without what is bracketed, a name or a code."""
    while BRACKETED.search(text):
        text = BRACKETED.sub(" ", text)
    text = CODES.sub(" ", text)
    for name in sorted(filter(None, names), key=len, reverse=True):
        text = text.replace(name, " ")
    return text


@pytest.fixture
def run(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=2)
    return run


@pytest.fixture
def names(run, operator, settings):
    """Names that the workshop gave, and polymers' marks, which no language changes."""
    make_full_bin(operator)
    own = [
        f"run {run.code}",
        f"run {run.number}",
        settings.WORKSHOP_NAME,
        operator.username,
        run.machine.name,
        run.design.name,
    ]
    named = [(Bin, "name"), (Bin, "place"), (Source, "name"), (Colour, "name"), (Polymer, "symbol")]
    return own + [
        name for model, field in named for name in model.objects.values_list(field, flat=True)
    ]


def said(page, names):
    assert page.status_code == 200
    return words_left(page.content.decode(), names)


def test_finds_a_word_that_no_catalogue_knows(bracketed):
    assert words_left("<p>⟦Weigh⟧ bin 12</p><a title='⟦Weigh ⟦it⟧⟧ now'>⟦x⟧</a>", []) == [
        "bin",
        "now",
    ]


@pytest.mark.parametrize("name", ["detail", "load", "yield", "close"])
def test_every_word_of_a_run_is_translated(bracketed, floor, run, names, name):
    page = floor.get(reverse(f"workshop:run-{name}", args=[run.code]))
    assert said(page, names) == []


def test_every_word_of_a_bin_is_translated(bracketed, floor, names):
    page = floor.get(Bin.objects.first().get_absolute_url())
    assert said(page, names) == []


@pytest.mark.parametrize(
    "name", ["home", "inventory:bin-board", "inventory:count-list", "inventory:delivery-list"]
)
def test_every_word_of_a_list_is_translated(bracketed, floor, names, name):
    assert said(floor.get(reverse(name)), names) == []
