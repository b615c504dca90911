"""The stages of a run, and where each of them is done: one page for one thing."""

from django.urls import reverse

from workshop.models import Run

PAGES = {"load": "run-load", "make": "run-make", "weigh": "run-yield", "close": "run-close"}
NOTHING_YET = ("setup", "load")


def stage_urls(run: Run, may: dict[str, bool], *, is_loaded: bool) -> dict[str, str]:
    """Return the pages of a run's stages for somebody who may do these acts, without what cannot be done yet."""
    urls = {"setup": f"{run.get_absolute_url()}?stage=setup"}
    if run.closed_at or not may.get("run_load"):
        return urls
    offered = PAGES if is_loaded else {"load": PAGES["load"]}
    return urls | {
        stage: reverse(f"workshop:{name}", args=[run.code]) for stage, name in offered.items()
    }
