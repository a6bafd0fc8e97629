"""This module keeps what a browser remembers of the shop valid, whatever the computer's clock does."""

from copy import deepcopy
from datetime import UTC, datetime
from typing import Any

from flask import Flask, Request
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface, SessionMixin
from itsdangerous import BadSignature

from app.web.kept import Kept

MOST_KNOWN = 256
NEVER = datetime(2200, 1, 1, tzinfo=UTC)
"""A cookie that lasts until then outlasts a clock that is set to 1970; a browser shortens it by its own clock."""


class AgelessSessions(SecureCookieSessionInterface):
    """Flask's sessions, but for their age: a signature proves who made it, not when."""

    def __init__(self) -> None:
        self._known: Kept[tuple[object, str], dict[str, Any]] = Kept(MOST_KNOWN)

    def open_session(self, app: Flask, request: Request) -> SecureCookieSession | None:
        """Returns the session of a request: a new one if its cookie is missing or somebody else made it; None
        without a secret. A cookie is read once, for it says the same each time."""
        if not app.secret_key:
            return None
        sent = request.cookies.get(self.get_cookie_name(app), "")
        known = self._known.get((app.secret_key, sent)) if sent else {}
        if known is None:
            known = self._read(app, sent)
            self._known.put((app.secret_key, sent), known)
        return self.session_class(deepcopy(known))

    def _read(self, app: Flask, sent: str) -> dict[str, Any]:
        """Returns what a cookie holds; nothing if somebody else made it."""
        serializer = self.get_signing_serializer(app)
        try:
            return dict(serializer.loads(sent)) if serializer else {}
        except BadSignature:
            return {}

    def get_expiration_time(self, app: Flask, session: SessionMixin) -> datetime | None:
        """Returns when the browser forgets the session; None when it does so as it closes."""
        return NEVER if session.permanent else None
