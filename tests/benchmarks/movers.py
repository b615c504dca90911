"""A process of tablets for the benchmark of postings; see postings.py."""

import json
import sys

import django

django.setup()

from tests.benchmarks.postings import process  # noqa: E402

process(json.loads(sys.argv[1]))
