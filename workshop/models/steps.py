"""Steps of a cycle, each started by a tap; the next one, or a stop, ends it."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from workshop.models.moments import Moment


class Step(Moment):
    """The start of a step; a row without a name stops the clock."""

    class Name(models.TextChoices):
        FEED = "feed", _("feed")
        FILL = "fill", _("fill")
        HEAT = "heat", _("heat")
        PRESS = "press", _("press")
        INJECT = "inject", _("inject")
        PACK = "pack", _("hold pressure")
        DRAW = "draw", _("draw off")
        GRIND = "grind", _("grind")
        TUMBLE = "tumble", _("tumble")
        CLAMP = "clamp", _("clamp")
        CUT = "cut", _("cut")
        BEND = "bend", _("bend")
        COOL = "cool", _("cool")
        EJECT = "eject", _("eject")
        TRIM = "trim", _("trim")
        EMPTY = "empty", _("empty")

    name = models.CharField(max_length=10, choices=Name, blank=True)

    class Meta(Moment.Meta):
        indexes = [models.Index(name="step_in_run", fields=["run", "happened_at"])]

    def __str__(self):
        return f"{self.run}: {self.name or 'stop'}"
