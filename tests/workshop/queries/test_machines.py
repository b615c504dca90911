"""Machines and tooling for an operation."""

import pytest
from django.utils import timezone

from tests.factories.workshop import MachineFactory, ToolingFactory, make_run
from workshop.queries.machines import machine_list, machines_for, tooling_for

pytestmark = pytest.mark.django_db


def test_only_machines_made_for_it_do_an_operation():
    press = MachineFactory(kind="press")
    MachineFactory(kind="granulator")
    assert list(machines_for("press")) == [press]


def test_a_retired_machine_does_nothing():
    MachineFactory(kind="press", retired_at=timezone.now())
    assert list(machines_for("press")) == []


def test_a_mould_serves_injecting_and_a_screen_does_not():
    mould = ToolingFactory(kind="mould")
    ToolingFactory(kind="screen")
    assert list(tooling_for("inject")) == [mould]


def test_blending_needs_no_tooling():
    ToolingFactory(kind="mould")
    assert list(tooling_for("blend")) == []


def test_retired_machines_stand_last_and_open_runs_are_counted(operator):
    MachineFactory(name="A", retired_at=timezone.now())
    busy = MachineFactory(name="B", kind="press")
    make_run(operator, machine=busy)
    rows = [(machine.name, machine.open_runs) for machine in machine_list()]
    assert rows == [("B", 1), ("A", 0)]
