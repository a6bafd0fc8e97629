"""What comes with a form besides its fields: numbers of rows, and the key of a tap."""

import re

from flask import request

from app.actions.errors import Problem, Refused


def read_id(text: str | None) -> int:
    """A number from an address or a hidden field; 0, which is nobody's, when it is none."""
    return int(text) if text and re.fullmatch(r"[0-9]{1,9}", text) else 0


def tap_key() -> str:
    """The key of the form that was sent. Raises Refused: without it a repeated tap would count twice."""
    key = request.form.get("client_key", "")
    if not 1 <= len(key) <= 64:
        raise Refused(Problem("client_key", "That tap came without its key: reload the page and tap again."))
    return key
