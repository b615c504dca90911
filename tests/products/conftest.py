"""A stool that takes clips, for every test of what parts hold."""

import pytest

from tests.factories.fixings import clip_design, made, stool_design


@pytest.fixture
def clip(lead):
    return clip_design()


@pytest.fixture
def stool(lead, clip, operator):
    return made(operator, stool_design(lead, clip))


@pytest.fixture
def loose(operator, clip):
    return made(operator, clip)
