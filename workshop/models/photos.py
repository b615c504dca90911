"""Photos of a run, for staff only."""

from django.db import models

from workshop.models.moments import Moment


class Photo(Moment):
    """A photo taken in a run: drawn anew when it came, so that it holds nothing but the picture."""

    picture = models.ImageField(upload_to="runs/")
    note = models.CharField(max_length=120, blank=True)

    def __str__(self):
        return f"{self.run}: {self.note or self.uuid}"
