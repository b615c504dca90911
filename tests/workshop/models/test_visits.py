"""What the database itself refuses of visits and pieces."""

import pytest
from django.utils import timezone

from tests.factories.book import broken
from tests.factories.inventory import make_full_bin
from tests.factories.workshop import DesignFactory, MachineFactory, make_part
from workshop.models import Piece, Visit

pytestmark = pytest.mark.django_db


@pytest.fixture
def piece(operator):
    visit = Visit.objects.create(
        design=DesignFactory(made_by="inject"),
        machine=MachineFactory(kind="injection"),
        started_at=timezone.now(),
        started_by=operator,
    )
    return Piece.objects.create(visit=visit, **more_of(operator))


def more_of(by):
    started = {"started_at": timezone.now(), "started_by": by}
    return started | {"lot": make_full_bin(by)[1], "nominal_mg": 20_000, "found_clean": True}


def test_visit_one_open_per_machine(piece, operator):
    again = {"started_at": timezone.now(), "started_by": operator}
    with broken("visit_one_open_per_machine", "workshop_visit.machine_id"):
        Visit.objects.create(design=piece.visit.design, machine=piece.visit.machine, **again)


def test_visit_ends_settled_or_abandoned(piece):
    with broken("visit_ends_settled_or_abandoned"):
        Visit.objects.update(ended_at=timezone.now())


def test_piece_one_running_per_visit(piece, operator):
    with broken("piece_one_running_per_visit", "workshop_piece.visit_id"):
        Piece.objects.create(visit=piece.visit, **more_of(operator))


def test_piece_undone_only_while_running(piece):
    with broken("piece_undone_only_while_running"):
        Piece.objects.update(ended_at=timezone.now(), undone_at=timezone.now())


def test_piece_ends_before_it_is_a_part(piece, operator):
    part = make_part(operator, make_full_bin(operator)[1], 1_000_000)
    with broken("piece_ends_before_it_is_a_part"):
        Piece.objects.update(part=part)
