"""Sessions as Django keeps them in the database, found by a statement that is put together once."""

from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.contrib.sessions.models import Session
from django.db.models import QuerySet
from django.utils import timezone

from inventory.queries.statements import kept


@kept
def sessions_keyed(key: str) -> QuerySet[Session]:
    """The session of a key, expired or not."""
    return Session.objects.filter(session_key=key)


class SessionStore(DatabaseStore):
    """A session of the database; every request asks for one."""

    def _get_session_from_db(self):
        row = next(iter(sessions_keyed(self.session_key)), None)
        if row and row.expire_date > timezone.now():
            return row
        self._session_key = None
        return None
