"""Who sends a token: its person, found together with what every request asks of them."""

from django.db.models import F, QuerySet
from rest_framework.authentication import TokenAuthentication
from rest_framework.authtoken.models import Token

from inventory.queries.access import remember_groups
from inventory.queries.statements import kept


@kept
def tokens_called(key: str) -> QuerySet[Token]:
    """The token of a key with its person, once for each group of theirs."""
    tokens = Token.objects.select_related("user").annotate(group=F("user__groups__name"))
    return tokens.filter(key=key)


class ByToken(TokenAuthentication):
    """The person of a token; their groups, by which each request is allowed, come along."""

    def authenticate_credentials(self, key):
        rows = tokens_called(key)
        if not rows or not rows[0].user.is_active:
            return super().authenticate_credentials(key)  # which says no in its own words
        remember_groups(rows[0].user, [row.group for row in rows if row.group])
        return rows[0].user, rows[0]
