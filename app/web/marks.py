"""A part of a page that is kept drawn: nothing in it belongs to one answer. What does stands in it as a mark, and
each answer puts its own in its place."""

import re
import secrets
from itertools import count

from flask import current_app

from app.web.htmx import new_key

SIGN = secrets.token_hex(8)
"""It is new in every process, so that nobody can type a mark."""
_MARK = re.compile(f"{SIGN}-([^;]*);")
_TOKEN, _VERSION = "token", "version"
VERSION = f"{SIGN}-{_VERSION};"
"""It stands where an answer says its version."""


class MarkedKeys:
    """The keys of the forms of a part that is kept drawn. name: tells them from those of others."""

    def __init__(self, name: str = "") -> None:
        self._name, self._numbers = name, count(1)

    def new_key(self) -> str:
        """Returns the mark of a key: each answer makes its own of it."""
        return f"{SIGN}-{self._name}{next(self._numbers)};"


class MarkedPart:
    """A part with marks, as bytes in UTF-8. It is taken apart at its marks once: to look for them, or to encode it,
    takes longer than all else that an answer needs."""

    def __init__(self, drawn: str) -> None:
        pieces = _MARK.split(drawn)
        self._between, self._marks = [piece.encode() for piece in pieces[::2]], pieces[1::2]

    def of_this_answer(self, version: str = "") -> bytes:
        """Returns the part with the token and the keys of this answer, and its version."""
        values, key = {_TOKEN: _csrf_token(), _VERSION: version}, new_key()
        pieces = [b""] * (2 * len(self._marks) + 1)
        pieces[::2] = self._between
        pieces[1::2] = [(values.get(name) or f"{key}-{name}").encode() for name in self._marks]
        return b"".join(pieces)


def with_marks(drawn: str) -> str:
    """Returns what was drawn with a mark in place of the token of its forms."""
    return drawn.replace(_csrf_token(), f"{SIGN}-{_TOKEN};")


def _csrf_token() -> str:
    return str(current_app.jinja_env.globals["csrf_token"]())  # type: ignore[operator]
