"""This module limits what a browser may do with our pages: it loads nothing from elsewhere, and nothing inline."""

from flask import Flask, Response, request
from werkzeug.exceptions import BadRequest

from app.web.form_token import MaskedProtection
from app.web.log import request_id
from app.web.requests import SAFE_METHODS, current_upload_limits
from app.web.wording.errors import FORBIDDEN_CHARACTER

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
SECURITY_HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}
MOST_BYTES = 256 * 1024


def register_security(app: Flask, secret: str, hosts: tuple[str, ...]) -> MaskedProtection:
    """Sets up session cookies, limits and security headers of the app. Returns its form protection."""
    app.config.update(
        SECRET_KEY=secret,
        TRUSTED_HOSTS=list(hosts),
        MAX_CONTENT_LENGTH=MOST_BYTES,
        MAX_FORM_MEMORY_SIZE=MOST_BYTES,
        MAX_FORM_PARTS=1000,
        WTF_CSRF_TIME_LIMIT=None,  # a form left open over lunch is still good
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_NAME="stillaloft",
    )
    app.before_request(_set_upload_limits)  # before anything reads the form
    protection = MaskedProtection(app)
    app.before_request(_refuse_nul)
    app.after_request(_security_headers)
    return protection


def _set_upload_limits() -> None:
    """Sets the upload limits of a view that has its own, before anything reads the form.

    They are only for such views, because every part of a large form may be a file of its own on the disk.
    """
    if limits := current_upload_limits():
        request.max_content_length, request.max_form_parts = limits.most_bytes, limits.most_parts


def _refuse_nul() -> None:
    """Raises BadRequest for a text with the character NUL, which no keyboard types and not every database
    accepts."""
    sent = (request.args,) if request.method in SAFE_METHODS else (request.args, request.form)
    if any("\0" in value for values in sent for _, value in values.items(multi=True)):
        raise BadRequest(FORBIDDEN_CHARACTER)


def _security_headers(response: Response) -> Response:
    response.headers.update(SECURITY_HEADERS)
    response.headers["X-Request-Id"] = request_id()
    response.headers.setdefault("Cache-Control", "no-store")
    return response
