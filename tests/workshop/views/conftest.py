"""Three people in front of a tablet."""

from uuid import uuid4

import pytest

from tests.factories.people import signed_in


@pytest.fixture
def floor(operator):
    """An operator's browser."""
    return signed_in(operator)


@pytest.fixture
def desk(lead):
    """The lead's browser."""
    return signed_in(lead)


@pytest.fixture
def reader(auditor):
    """An auditor's browser."""
    return signed_in(auditor)


@pytest.fixture
def key():
    """The id a page makes before it sends."""
    return str(uuid4())
