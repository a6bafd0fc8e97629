"""The board as it is kept drawn: nothing in it belongs to one answer. What does stands in it as a mark, and each
answer puts its own in their places."""

import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import count

from flask import current_app
from markupsafe import Markup

from app.places.bench.jobs import ShownJob
from app.web.htmx import new_key
from app.web.requests import served_app

SIGN = secrets.token_hex(8)
"""It is new in every process, so that nobody can type a mark."""
TOKEN, KEY, VERSION = (f"{SIGN}-{name}-" for name in ("token", "key", "version"))
ROW = re.compile(rf"{SIGN}-row-(.*?);")


class BoardDrawing:
    """What the template of the board calls while it is drawn."""

    version = VERSION

    def __init__(self) -> None:
        self.rows: dict[str, str] = {}
        self._keys = count(1)

    def new_key(self) -> str:
        """Returns the key of a form: each answer makes its own of it."""
        return f"{KEY}{next(self._keys)}"

    def row(self, job: ShownJob, role: str, draw: Callable[[ShownJob, str], str], address: str) -> Markup:
        """Returns the mark of a row, which is drawn unless it is kept as it is. address: where its taps go."""
        place = (role, job.is_joined, address)
        drawn = job.kept.drawn.get(place) if not job.question else None
        if drawn is None:
            drawn = without_token("\n".join(map(str.strip, draw(job, role).split("\n"))))
            if not job.question:
                job.kept.drawn[place] = drawn
        key = f"batch-{job.batch.row.key}"
        self.rows[key] = drawn
        return Markup(f"{SIGN}-row-{key};")


@dataclass(frozen=True, slots=True)
class DrawnBoard:
    """A board with marks. frame: the board with a mark for each row. made_from: the versions of all that it shows.
    It is shown from a moment until another."""

    frame: str
    rows: Mapping[str, str]
    made_from: tuple[int | None, ...]
    since: datetime
    until: datetime

    @property
    def digest(self) -> str:
        """Two boards that show the same have the same digest."""
        return f"{hash((self.frame, *self.rows.values())) & 0xFFFFFFFFFFFF:x}"

    def is_shown(self, made_from: tuple[int | None, ...], now: datetime) -> bool:
        """Returns whether the board is still shown like this."""
        return self.made_from == made_from and self.since <= now < self.until

    def answer(self, version: str, shown: "DrawnBoard | None" = None) -> Markup:
        """Returns the board for one answer. shown: what the page shows now; of rows that are the same there, the
        answer has only the places."""
        parts = ROW.split(self.frame.replace(KEY, f"{new_key()}-").replace(VERSION, version))
        known = shown.rows if shown else {}
        parts[1::2] = [self._place(row, known) for row in parts[1::2]]
        return Markup("".join(parts).replace(TOKEN, csrf_token()))

    def _place(self, row: str, known: Mapping[str, str]) -> str:
        drawn = self.rows[row]
        return f'<li id="{row}" data-kept></li>' if known.get(row) == drawn else drawn


def keep_shown(drawn: DrawnBoard) -> None:
    """Keeps a board that is sent, so that the next answer to whoever shows it need not send all of it again."""
    served_app().shown_boards.put(drawn.digest, drawn)


def find_shown(digest: str) -> DrawnBoard | None:
    """Returns the board of this digest that was sent; None if it is kept no longer."""
    return served_app().shown_boards.get(digest)


def csrf_token() -> str:
    """Returns the token of this answer's forms."""
    return str(current_app.jinja_env.globals["csrf_token"]())  # type: ignore[operator]


def without_token(drawn: str) -> str:
    """Returns what was drawn with a mark in place of the token of the forms."""
    return drawn.replace(csrf_token(), TOKEN)
