"""People at a shared tablet: a PIN on their badge, wrong guesses at it, and their turns."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class Badge(models.Model):
    """What a person shows at a bench instead of a password: a PIN, kept only as a hash."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="badge"
    )
    pin = models.CharField(max_length=128)
    set_at = models.DateTimeField()

    class Meta:
        constraints = [models.CheckConstraint(name="badge_has_a_pin", condition=~Q(pin=""))]

    def __str__(self):
        return self.user.get_username()


class Guesses(models.Model):
    """Wrong PINs in a row: of a person wherever they were typed, and at a bench for whomever."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="guesses"
    )
    count = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField(null=True, blank=True)
    locked_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "guesses"

    def __str__(self):
        return f"{self.user}: {self.count}"


class Turn(models.Model):
    """A person's time at a bench, from the PIN until it locks."""

    bench = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="turns"
    )
    began_at = models.DateTimeField()
    last_seen_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(name="turn_of_bench", fields=["bench", "-id"])]
        constraints = [
            models.CheckConstraint(
                name="turn_is_a_persons", condition=~Q(bench=models.F("person"))
            ),
            models.CheckConstraint(
                name="turn_ends_after_it_began",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=models.F("began_at")),
            ),
        ]

    def __str__(self):
        return f"{self.person} at {self.bench}"
