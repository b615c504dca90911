"""A migrated SQLite database, made once and copied for each worker: migrating from nothing takes it 9 s.

It is kept under `build/` by the digest of what it is made from, so a changed migration, model or lock
makes it anew. Django migrates each copy all the same, which runs whatever would be missing.
"""

import fcntl
import os
import shutil
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
KEPT = ROOT / "build" / "migrated"
MADE_FROM = ("*/migrations/*.py", "*/models/*.py", "*/apps.py", "requirements.lock")


def digest(root: Path = ROOT) -> str:
    """Return the digest of the names and contents of all that a migrated database is made from."""
    total = sha256((root / "workshop" / "settings.py").read_bytes())
    for path in sorted(path for pattern in MADE_FROM for path in root.glob(pattern)):
        total.update(f"{path.relative_to(root)}\n{path.stat().st_size}\n".encode())
        total.update(path.read_bytes())
    return total.hexdigest()[:20]


def migrated() -> Path:
    """Return a migrated database that nobody writes to; the first worker makes it, others wait."""
    KEPT.mkdir(parents=True, exist_ok=True)
    book = KEPT / f"{digest()}.sqlite3"
    with (KEPT / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not book.exists():
            for old in KEPT.glob("*.sqlite3*"):
                old.unlink()
            make(book)
    return book


def make(book: Path) -> None:
    """Migrate a new database from nothing, in a process of its own, and put it into its place."""
    half = book.with_suffix(".sqlite3-half")
    environment = os.environ | {"DATABASE_URL": f"sqlite:///{half}"}
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "manage.py", "migrate", "--run-syncdb", "--verbosity", "0"]
    subprocess.run(command, cwd=ROOT, env=environment, check=True)
    half.replace(book)


def copy_migrated(to: str) -> None:
    """Put a copy of the migrated database where a worker's tests will look for theirs."""
    shutil.copyfile(migrated(), to)
