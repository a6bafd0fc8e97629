"""Pick-ups: the board of a day is kept drawn until something that it shows changes."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from app.actions.records.history import board_version
from app.web.marks import MarkedPart, with_marks
from app.web.requests import request_context, served_app


@dataclass(frozen=True, slots=True)
class KeptPage:
    """A board as it was drawn. drawn: with marks in place of what belongs to one answer. made_from: the versions of
    the board, of which the plan is a part, and of the shop. It is shown from a moment until another."""

    drawn: MarkedPart
    made_from: tuple[int, int | None]
    since: datetime
    until: datetime


def keep_page(drawn: str, version: str) -> KeptPage:
    """Returns a board that was drawn from what this request sees. version: what it says of itself, that of the
    board and the second at which the clock alone changes something."""
    here, (board, until) = request_context(), map(int, version.split("."))
    marked, made_from = MarkedPart(with_marks(drawn)), (board, here.shop_version)
    return KeptPage(marked, made_from, here.now, datetime.fromtimestamp(until, UTC))


def kept_page(day: date, draw: Callable[[int], KeptPage]) -> KeptPage:
    """Returns the board of a day: the kept one if it still shows things as they are, else as it is drawn from this
    version."""
    here, kept = request_context(), served_app().kept_pickups
    board = board_version(here.session)
    made_from = board, here.shop_version
    return kept.get_or_make(
        day,
        lambda known: known.made_from == made_from and known.since <= here.now < known.until,
        lambda: draw(board),
        lambda made: None not in made.made_from,
    )
