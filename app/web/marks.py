"""A part of a page that is kept drawn: nothing in it belongs to one answer. What does stands in it as a mark, and
each answer puts its own in its place."""

import secrets
from itertools import count

from flask import current_app
from markupsafe import Markup

from app.web.htmx import new_key

_SIGN = secrets.token_hex(8)
"""It is new in every process, so that nobody can type a mark."""
_TOKEN, _KEY = f"{_SIGN}-token-", f"{_SIGN}-key-"


class MarkedKeys:
    """The keys of the forms of a part that is kept drawn."""

    def __init__(self) -> None:
        self._numbers = count(1)

    def new_key(self) -> str:
        """Returns the mark of a key: each answer makes its own of it."""
        return f"{_KEY}{next(self._numbers)}"


def with_marks(drawn: str) -> str:
    """Returns what was drawn with a mark in place of the token of its forms."""
    return drawn.replace(_csrf_token(), _TOKEN)


def of_this_answer(kept: str) -> Markup:
    """Returns the kept part with the token and the keys of this answer."""
    return Markup(kept.replace(_KEY, f"{new_key()}-").replace(_TOKEN, _csrf_token()))


def _csrf_token() -> str:
    return str(current_app.jinja_env.globals["csrf_token"]())  # type: ignore[operator]
