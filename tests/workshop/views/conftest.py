"""Three people in front of a tablet."""

from uuid import uuid4

import pytest
from django.test import Client


def at_tablet(person) -> Client:
    client = Client()
    client.force_login(person, backend="workshop.backends.PasswordBackend")
    return client


@pytest.fixture
def floor(operator):
    """An operator's browser."""
    return at_tablet(operator)


@pytest.fixture
def desk(lead):
    """The lead's browser."""
    return at_tablet(lead)


@pytest.fixture
def reader(auditor):
    """An auditor's browser."""
    return at_tablet(auditor)


@pytest.fixture
def key():
    """The id a page makes before it sends."""
    return str(uuid4())
