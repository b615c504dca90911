"""The project's settings with the few values that tests need otherwise."""

import tempfile

from workshop.settings import *  # noqa: F403
from workshop.settings import STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
MEDIA_ROOT = tempfile.mkdtemp(prefix="workshop-media-")
STORAGES = STORAGES | {
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
}
AXES_ENABLED = False
