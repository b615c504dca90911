"""Questions about the photos of a run."""

from django.db.models import QuerySet

from workshop.models import Photo, Run


def photos_of(run: Run) -> QuerySet[Photo]:
    """Return the photos of a run, the newest first."""
    return run.photos.select_related("by").order_by("-happened_at", "-id")
