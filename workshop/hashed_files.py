"""Static files with a hash in their name: the modules that scripts import too, and styles in one file each."""

import posixpath
import re

from django.core.files.base import ContentFile
from whitenoise.storage import CompressedManifestStaticFilesStorage

IMPORT = r"""(?P<matched>from\s+["'](?P<url>\./\w+\.js)["'])"""
SHEETS = ("css/site.css", "css/passport.css")
LAYER = re.compile(r"""@import url\("(?P<path>[\w./]+)"\) layer\((?P<layer>\w+)\);""")
BARRED = re.compile(
    r"@import|@charset|url\((?!#)"
)  # what would mean something else at another place


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A script and what it imports change together: their names do, so no old half is kept.

    Only in our own folder; what libraries bring is served as it is. A sheet that imports others
    holds them itself, so that a page asks for one file and not for fifty.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("js/*.js", ((IMPORT, 'from "%(url)s"'),)),
    )

    def post_process(self, paths, *args, **options):
        """Put the whole sheets in place of those that import, then name everything by its hash."""
        whole = {name: (Texts({name: whole_sheet(name, paths)}), name) for name in SHEETS}
        yield from super().post_process(paths | whole, *args, **options)


class Texts(dict):
    """Texts by name, read as a storage is."""

    def open(self, name: str) -> ContentFile:
        return ContentFile(self[name].encode())


def whole_sheet(name: str, paths: dict) -> str:
    """Return a style sheet with what it imports in its place, each part in its layer.

    `paths` says, as collectstatic does, in which storage and where a name is found. Raises
    ValueError when a part names a file or imports another: inside the whole it would not be found.
    """

    def part(found) -> str:
        path = posixpath.join(posixpath.dirname(name), found["path"])
        text = read(path, paths)
        if BARRED.search(text):
            raise ValueError(f"{path} names another file; {name} cannot hold it")
        return f"@layer {found['layer']} {{\n{text}}}"

    return LAYER.sub(part, read(name, paths))


def read(name: str, paths: dict) -> str:
    """Return the text of a static file from where collectstatic found it."""
    storage, path = paths[name]
    with storage.open(path) as file:
        return file.read().decode()
