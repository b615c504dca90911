"""Static files with a hash in their name, the modules that our own scripts import among them."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

IMPORT = r"""(?P<matched>from\s+["'](?P<url>\./\w+\.js)["'])"""


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A script and what it imports change together: their names do, so no old half is kept.

    Only in our own folder; what libraries bring is served as it is.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("js/*.js", ((IMPORT, 'from "%(url)s"'),)),
    )
