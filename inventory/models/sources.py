"""Who plastic came from."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Source(models.Model):
    """A person, place or firm that hands plastic over."""

    class Role(models.TextChoices):
        COLLECTOR = "collector", _("collector")
        SUPPLIER = "supplier", _("supplier")
        MANUFACTURER = "manufacturer", _("manufacturer")
        HOUSEHOLD = "household", _("household or school")
        CUSTOMER = "customer", _("customer")

    name = models.CharField(max_length=120, unique=True)
    role = models.CharField(max_length=20, choices=Role, default=Role.COLLECTOR)
    collection_route = models.CharField(max_length=200, blank=True)
    contact = models.CharField(max_length=200, blank=True)
    evidence = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True)
    is_active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name
