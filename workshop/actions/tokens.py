"""Tokens let a program in as the person who asked for one."""

from django.contrib.auth.models import User
from django.db import transaction
from rest_framework.authtoken.models import Token


@transaction.atomic
def issue_token(*, user: User) -> Token:
    """Return the person's token, the same one until it is withdrawn."""
    token, _created = Token.objects.get_or_create(user=user)
    return token
