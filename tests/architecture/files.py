"""The files of the project, and what a rule finds wrong in them, file by file."""

from collections.abc import Callable, Iterable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def name_of(path: Path) -> str:
    """Return the path of a file as one writes it from the top of the project."""
    return str(path.relative_to(ROOT))


def faults_in(paths: Iterable[Path], rule: Callable[[Path], list]) -> dict[str, list]:
    """Return what a rule finds wrong in each file that breaks it; a rule needs files to look at."""
    found = {name_of(path): rule(path) for path in paths}
    assert found, "there is no file to look at"
    return {name: faults for name, faults in found.items() if faults}
