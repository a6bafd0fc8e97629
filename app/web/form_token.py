"""This module draws the token of forms under a new mask in every answer, so that the length of a compressed page
tells nothing of it."""

import hmac
import secrets
from base64 import b64decode, urlsafe_b64encode

from flask import Flask, g, session
from flask_wtf.csrf import CSRFProtect, generate_csrf


class MaskedProtection(CSRFProtect):
    """Flask-WTF's protection, with the session's secret masked wherever a page carries it."""

    def init_app(self, app: Flask) -> None:
        super().init_app(app)
        app.jinja_env.globals["csrf_token"] = masked_token
        app.context_processor(lambda: {"csrf_token": masked_token})

    def _get_csrf_token(self) -> str | None:
        """Returns the session's own token if the one that was sent shows its secret; None if not."""
        sent, secret = super()._get_csrf_token(), _session_secret()
        return generate_csrf() if sent and secret and hmac.compare_digest(unmasked(sent), secret) else None


def masked_token() -> str:
    """Returns the token of this answer: the session's secret under a mask that no other answer has."""
    if "masked_token" not in g:
        if "csrf_token" not in session:
            generate_csrf()  # gives a new session its secret
        g.masked_token = masked(_session_secret())
    return str(g.masked_token)


def masked(secret: bytes) -> str:
    """Returns a secret as text: bytes drawn by chance, followed by what they make of it."""
    pad = secrets.token_bytes(len(secret))
    return urlsafe_b64encode(pad + _xor(pad, secret)).decode()


def unmasked(token: str) -> bytes:
    """Returns the secret of a masked token; of any other text, nothing that could be one."""
    try:
        both = b64decode(token, altchars=b"-_", validate=True)
    except ValueError:
        return b""
    half = len(both) // 2
    return _xor(both[:half], both[half:])


def _xor(pad: bytes, secret: bytes) -> bytes:
    size = min(len(pad), len(secret))
    return (int.from_bytes(pad[:size]) ^ int.from_bytes(secret[:size])).to_bytes(size)


def _session_secret() -> bytes:
    """Returns the secret of this session's forms; empty if it has none yet."""
    return bytes.fromhex(session.get("csrf_token", ""))
