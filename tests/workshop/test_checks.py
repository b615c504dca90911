"""Settings with which a workshop on the network does not start."""

import pytest

from workshop.checks import debug_stays_at_the_desk, secret_key_is_its_own


@pytest.fixture
def network(settings):
    settings.BEHIND_HTTPS, settings.DEBUG = True, False
    return settings


def codes(found):
    return [error.id for error in found]


def test_refuses_the_development_key_on_the_network(network):
    network.SECRET_KEY = network.DEVELOPMENT_KEY
    assert codes(secret_key_is_its_own(None)) == ["workshop.E001"]


def test_takes_a_key_of_its_own(network):
    network.SECRET_KEY = "another long random text that nobody knows"
    assert secret_key_is_its_own(None) == []


def test_lets_the_development_key_pass_on_a_desk(settings):
    settings.BEHIND_HTTPS, settings.SECRET_KEY = False, settings.DEVELOPMENT_KEY
    assert secret_key_is_its_own(None) == []


def test_refuses_debug_pages_behind_https(network):
    network.DEBUG = True
    assert codes(debug_stays_at_the_desk(None)) == ["workshop.E002"]


def test_lets_debug_pages_pass_on_a_desk(settings):
    settings.BEHIND_HTTPS, settings.DEBUG = False, True
    assert debug_stays_at_the_desk(None) == []
