"""A stool that takes clips, for every test of what parts hold."""

import pytest

from tests.factories.fixings import clip_design, made, stool_design
from tests.kept import kept


@pytest.fixture
@kept
def clip(lead):
    return clip_design()


@pytest.fixture
@kept
def stool(lead, clip, operator):
    return made(operator, stool_design(lead, clip))


@pytest.fixture
@kept
def loose(operator, clip):
    return made(operator, clip)
