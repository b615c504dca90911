"""What every page says alike is kept for a minute, and stays apart for whom it differs."""

import re

import pytest
from django.core.cache import caches
from django.test import Client

from workshop.settings import LOCAL

pytestmark = pytest.mark.django_db
CHANGES = re.compile(r'(name="csrfmiddlewaretoken" value="|"X-CSRFToken": ")[^"]*')


@pytest.fixture
def kept(settings):
    """The fragments are kept, as in production and not as in other tests."""
    settings.CACHES = settings.CACHES | {
        "template_fragments": {"BACKEND": LOCAL, "LOCATION": "tested"}
    }
    caches["template_fragments"].clear()
    yield caches["template_fragments"]
    caches["template_fragments"].clear()


def page(person, path="/bins/", **headers) -> str:
    client = Client()
    client.force_login(person)
    return CHANGES.sub(r"\1", client.get(path, headers=headers).content.decode())


def test_a_page_made_of_kept_fragments_is_the_same_page(kept, operator):
    first = page(operator)
    assert page(operator) == first
    assert len(kept._cache) >= 4  # noqa: SLF001 (so that there is something to be the same)


def test_what_a_lead_may_is_not_shown_to_an_operator(kept, lead, operator):
    link = 'href="/people/"'
    assert link in page(lead)
    assert link not in page(operator)
    assert link in page(lead)


def test_the_place_is_the_pages_own(kept, operator):
    marked = re.compile(r'href="([^"]+)" aria-current="true"')
    places = [marked.findall(page(operator, path)) for path in ("/bins/", "/runs/", "/bins/")]
    assert places == [["/bins/"], ["/runs/"], ["/bins/"]]


def test_a_scanner_that_is_set_otherwise_is_told_at_once(kept, operator, settings):
    page(operator)
    settings.SCANNER_PREFIX = "~"
    assert 'data-prefix="~"' in page(operator)


def test_each_language_keeps_its_own(kept, operator, settings):
    settings.LANGUAGES = [("en", "English"), ("de", "Deutsch")]
    page(operator)
    assert '<html lang="de"' in page(operator, **{"accept-language": "de"})
    german = {key for key in kept._cache if "menu" in key}  # noqa: SLF001
    assert len(german) == 2
