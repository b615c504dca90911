"""Logging in by name and password as Django does, the person found by a statement put together once."""

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import User
from django.db.models import QuerySet

from inventory.queries.statements import kept


@kept
def users_numbered(key: int) -> QuerySet[User]:
    """The user of a primary key."""
    return User.objects.filter(pk=key)


class PasswordBackend(ModelBackend):
    """Name and password; every request asks who its session belongs to."""

    def get_user(self, user_id):
        user = next(iter(users_numbered(user_id)), None)
        return user if user and self.user_can_authenticate(user) else None
