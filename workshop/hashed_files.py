"""Static files with a hash in their name, the modules that scripts import among them."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A script and what it imports change together: their names do, so no old half is kept."""

    support_js_module_import_aggregation = True
