"""Keys of what pages say alike, where tests name the static files and words in more ways than one."""

from django.conf import settings
from django.utils.translation import gettext


def key_by_files_and_words(key, prefix, version) -> str:
    """Return a key of its own for each way in which static files are named, and words are said."""
    named_by = settings.STORAGES["staticfiles"]["BACKEND"]
    return f"{prefix}:{version}:{named_by}:{settings.STATIC_ROOT}:{gettext('More')}:{key}"
