"""This module keeps what a browser remembers of the shop valid, whatever the computer's clock does."""

from datetime import UTC, datetime

from flask import Flask, Request
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface, SessionMixin
from itsdangerous import BadSignature

NEVER = datetime(2200, 1, 1, tzinfo=UTC)
"""A cookie that lasts until then outlasts a clock that is set to 1970; a browser shortens it by its own clock."""


class AgelessSessions(SecureCookieSessionInterface):
    """Flask's sessions, but for their age: a signature proves who made it, not when."""

    def open_session(self, app: Flask, request: Request) -> SecureCookieSession | None:
        """Returns the session of a request: a new one if its cookie is missing or somebody else made it; None
        without a secret."""
        serializer = self.get_signing_serializer(app)
        if serializer is None:
            return None
        try:
            return self.session_class(serializer.loads(request.cookies.get(self.get_cookie_name(app), "")))
        except BadSignature:
            return self.session_class()

    def get_expiration_time(self, app: Flask, session: SessionMixin) -> datetime | None:
        """Returns when the browser forgets the session; None when it does so as it closes."""
        return NEVER if session.permanent else None
