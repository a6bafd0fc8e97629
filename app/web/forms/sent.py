"""What comes with a form besides its fields: numbers of rows, and the key of a tap."""

import re

from flask import request

from app.quoting.errors import Problem, Refused


def read_id(text: str | None) -> int:
    """Returns a row's number from an address or a hidden field; 0, which no row has, when it is not a number."""
    return int(text) if text and re.fullmatch(r"[0-9]{1,9}", text) else 0


def tap_key() -> str:
    """Returns the key of the form that was sent. Raises Refused without one, because a repeated tap would then
    count twice."""
    key = request.form.get("client_key", "")
    if not 1 <= len(key) <= 64:
        raise Refused(Problem("client_key", "That tap came without its key: reload the page and tap again."))
    return key
