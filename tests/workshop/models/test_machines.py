"""What the database itself refuses of tooling and purges."""

import pytest
from django.utils import timezone

from tests.factories.book import broken
from tests.factories.workshop import MachineFactory, ToolingFactory
from workshop.models import Purge

pytestmark = pytest.mark.django_db


def test_tooling_has_a_cavity():
    with broken("tooling_has_a_cavity"):
        ToolingFactory(cavities=0)


def test_purge_says_how(operator):
    with broken("purge_says_how"):
        Purge.objects.create(
            machine=MachineFactory(), happened_at=timezone.now(), by=operator, note=""
        )


def test_machine_takes_something():
    with broken("machine_takes_something"):
        MachineFactory(capacity_mg=0)


def test_tooling_takes_something():
    with broken("tooling_takes_something"):
        ToolingFactory(capacity_mg=0)


def test_tooling_has_a_shot():
    with broken("tooling_has_a_shot"):
        ToolingFactory(shot_mm3=0)


@pytest.mark.parametrize("name", ["force_kn", "shot_mm3", "barrel_mm3"])
def test_machine_limits_above_zero(name):
    with broken("machine_limits_above_zero"):
        MachineFactory(**{name: 0})


def test_machine_barrel_holds_a_shot():
    MachineFactory(shot_mm3=60_000, barrel_mm3=60_000)
    with broken("machine_barrel_holds_a_shot"):
        MachineFactory(shot_mm3=60_001, barrel_mm3=60_000)


def test_machine_platen_whole():
    with broken("machine_platen_whole"):
        MachineFactory(platen_length_mm=700)


def test_tooling_sizes_above_zero():
    with broken("tooling_sizes_above_zero"):
        ToolingFactory(projected_mm2=0)


def test_tooling_frame_whole():
    with broken("tooling_frame_whole"):
        ToolingFactory(frame_length_um=600_000, frame_width_um=600_000)


def test_a_frame_holds_its_sides_multiplied():
    # By hand: 600.5 x 600 x 10 mm are 3,603 cm3 over 3,603 cm2
    frame = ToolingFactory(frame_length_um=600_500, frame_width_um=600_000, frame_depth_um=10_000)
    assert (frame.frame_mm3, frame.projected_cm2) == (3_603_000, 3603.0)
    assert frame.frame_mm == "600.5 × 600 × 10"
    assert ToolingFactory(projected_mm2=4000).projected_cm2 == 40
    bare = ToolingFactory()
    assert (bare.frame_mm3, bare.projected_cm2, bare.frame_mm) == (None, None, "")
