"""The board as it is kept drawn: its rows apart, so that an answer can leave out what a page shows already."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from markupsafe import Markup

from app.places.bench.jobs import ShownJob
from app.web.marks import SIGN, VERSION, MarkedKeys, MarkedPart, with_marks
from app.web.requests import request_context, served_app

ROW = re.compile(rf"{SIGN}-row-(.*?);")


DrawPanel = Callable[[ShownJob, bool, bool, Callable[[], str]], str]


class BoardDrawing(MarkedKeys):
    """What the template of the board calls while it is drawn."""

    version = VERSION

    def __init__(self) -> None:
        super().__init__()
        self.rows: dict[str, str] = {}

    def row(self, job: ShownJob, role: str, draw: Callable[[ShownJob, str], str], address: str) -> Markup:
        """Returns the mark of a row, which is drawn unless it is kept as it is. address: where its taps go."""
        key = f"batch-{job.batch.row.key}"
        self.rows[key] = _kept_of(job, (role, job.is_joined, job.is_moved, address), lambda: draw(job, role))
        return Markup(f"{SIGN}-row-{key};")

    def panel(self, job: ShownJob, draw: DrawPanel, address: str, *, is_big: bool, is_own: bool) -> Markup:
        """Returns a panel, drawn unless it is kept as it is. Each answer has all of it, as its forms have keys.
        is_own: whether its batch is filled by whoever works at the device."""
        keys, place = MarkedKeys(f"{job.batch.row.key}."), ("now", job.is_joined, is_big, is_own, address)
        return Markup(_kept_of(job, place, lambda: draw(job, is_big, is_own, keys.new_key)))

    def part(self, name: str, source: object, draw: Callable[[], str]) -> Markup:
        """Returns a part of the board, drawn unless it is kept from an equal source, which is all that it shows
        besides the shop."""
        kept, shop = served_app().kept_parts, request_context().shop_version
        known = kept.get(name)
        if known and shop is not None and known[0] == (shop, source):
            return Markup(known[1])
        drawn = _tidy(draw())
        kept.put(name, ((shop, source), drawn))
        return Markup(drawn)


def _kept_of(job: ShownJob, place: tuple[object, ...], draw: Callable[[], str]) -> str:
    """Returns what is drawn of a batch at this place of the board. What asks a question is not kept."""
    if job.question:
        return _tidy(draw())
    drawn = job.kept.drawn.get(place)
    if drawn is None:
        drawn = job.kept.drawn[place] = _tidy(draw())
    return drawn


def _tidy(drawn: str) -> str:
    """Returns what was drawn without the blanks at the ends of its lines, and with a mark for the token."""
    return with_marks("\n".join(map(str.strip, str(drawn).split("\n"))))


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

    def answer(self, version: str, shown: Mapping[str, str] | None = None) -> bytes:
        """Returns the board for one answer. shown: the rows that the page shows now; of those that are the same,
        the answer has only the places."""
        return (self._without(shown) if shown else self._whole).of_this_answer(version)

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
    """Keeps the rows of a board that is sent, so that the next answer to whoever shows it need not send all of them
    again."""
    served_app().shown_rows.put(drawn.digest, drawn.rows)


def find_shown(digest: str) -> Mapping[str, str] | None:
    """Returns the rows of the board of this digest that was sent; None if they are kept no longer."""
    return served_app().shown_rows.get(digest)
