"""The board as it is kept drawn: its rows apart, so that an answer can leave out what a page shows already."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from markupsafe import Markup

from app.places.bench.jobs import ShownJob
from app.web.marks import SIGN, VERSION, MarkedKeys, MarkedPart, with_marks
from app.web.requests import served_app

ROW = re.compile(rf"{SIGN}-row-(.*?);")


class BoardDrawing(MarkedKeys):
    """What the template of the board calls while it is drawn."""

    version = VERSION

    def __init__(self) -> None:
        super().__init__()
        self.rows: dict[str, str] = {}

    def row(self, job: ShownJob, role: str, draw: Callable[[ShownJob, str], str], address: str) -> Markup:
        """Returns the mark of a row, which is drawn unless it is kept as it is. address: where its taps go."""
        place = (role, job.is_joined, address)
        drawn = job.kept.drawn.get(place) if not job.question else None
        if drawn is None:
            drawn = with_marks("\n".join(map(str.strip, draw(job, role).split("\n"))))
            if not job.question:
                job.kept.drawn[place] = drawn
        key = f"batch-{job.batch.row.key}"
        self.rows[key] = drawn
        return Markup(f"{SIGN}-row-{key};")


@dataclass(frozen=True)
class DrawnBoard:
    """A board with marks. frame: the board with a mark for each row. made_from: the versions of all that it shows.
    It is shown from a moment until another."""

    frame: str
    rows: Mapping[str, str]
    made_from: tuple[int | None, ...]
    since: datetime
    until: datetime

    @cached_property
    def digest(self) -> str:
        """Two boards that show the same have the same digest."""
        return f"{hash((self.frame, *self.rows.values())) & 0xFFFFFFFFFFFF:x}"

    def is_shown(self, made_from: tuple[int | None, ...], now: datetime) -> bool:
        """Returns whether the board is still shown like this."""
        return self.made_from == made_from and self.since <= now < self.until

    def answer(self, version: str, shown: "DrawnBoard | None" = None) -> bytes:
        """Returns the board for one answer. shown: what the page shows now; of rows that are the same there, the
        answer has only the places."""
        return (self._without(shown.rows) if shown else self._whole).of_this_answer(version)

    @cached_property
    def _whole(self) -> MarkedPart:
        return self._without({})

    def _without(self, known: Mapping[str, str]) -> MarkedPart:
        """Returns the board with only the places of the rows that are known."""
        parts = ROW.split(self.frame)
        parts[1::2] = [self._place(row, known) for row in parts[1::2]]
        return MarkedPart("".join(parts))

    def _place(self, row: str, known: Mapping[str, str]) -> str:
        drawn = self.rows[row]
        return f'<li id="{row}" data-kept></li>' if known.get(row) == drawn else drawn


def keep_shown(drawn: DrawnBoard) -> None:
    """Keeps a board that is sent, so that the next answer to whoever shows it need not send all of it again."""
    served_app().shown_boards.put(drawn.digest, drawn)


def find_shown(digest: str) -> DrawnBoard | None:
    """Returns the board of this digest that was sent; None if it is kept no longer."""
    return served_app().shown_boards.get(digest)
