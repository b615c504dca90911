"""Tokens let a program in as the person who asked for one."""

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext_lazy as _
from rest_framework.authtoken.models import Token

from inventory.actions.refusals import refusal
from inventory.queries.access import is_bench


@transaction.atomic
def issue_token(*, user: User) -> Token:
    """Return the person's token, the same one until it is withdrawn.

    Refuses `not-a-person` for a bench.
    """
    if is_bench(user):
        raise refusal("not-a-person", _("A bench gets no token; ask with a person's name."))
    token, _created = Token.objects.get_or_create(user=user)
    return token
