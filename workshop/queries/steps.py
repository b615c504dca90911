"""Questions about the steps of a run."""

from workshop.models import Run, Step


def running_step(run: Run) -> Step | None:
    """Return the step that runs, or None."""
    last = run.steps.in_order().last()
    return last if last and last.name else None
