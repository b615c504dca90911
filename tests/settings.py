"""The project's settings with the few values that tests need otherwise."""

import atexit
import shutil
import tempfile
from pathlib import Path

from workshop.settings import *  # noqa: F403
from workshop.settings import CACHES, DATABASES, STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
MEDIA_ROOT = tempfile.mkdtemp(prefix="workshop-media-")
STORAGES = STORAGES | {
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
}
AXES_ENABLED = False
# Tests give static files and words other names under one roof; what pages say alike is kept apart by both.
FRAGMENTS = CACHES["template_fragments"] | {
    "KEY_FUNCTION": "tests.fragments.key_by_files_and_words"
}
CACHES = CACHES | {"template_fragments": FRAGMENTS}

# Threads cannot share a SQLite database in memory, so the tests use a file like the workshop does.
# Each worker of a parallel run has its own folder.
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    folder = tempfile.mkdtemp(prefix="workshop-tests-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    DATABASES["default"]["TEST"] = {"NAME": str(Path(folder) / "tests.sqlite3")}
MIDDLEWARE = [each for each in MIDDLEWARE if "whitenoise" not in each]  # noqa: F405
