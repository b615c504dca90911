"""The production settings, plus a header in which the server says how long it worked."""

from workshop.settings import *  # noqa: F403
from workshop.settings import MIDDLEWARE, ROOT

MIDDLEWARE = ["tests.benchmarks.timing.server_timing", *MIDDLEWARE]
STATIC_ROOT = ROOT / "build" / "bench" / "static"
