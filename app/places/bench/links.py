"""The addresses that stand on each row of the board."""

from dataclasses import dataclass
from datetime import date

from flask import url_for

PLACE = "0-0"
NUMBER = 987654321
"""A key and a number that stand in the address until those of a batch take their place."""


@dataclass(frozen=True, slots=True)
class BatchLinks:
    """Where a batch and its order lead to. Each address is built once for a page; a row only puts its key in it,
    since to build one takes as long as to draw a good part of a row."""

    _ticket: str
    _order: str
    _tap: str
    _undo: str
    _more: str

    @classmethod
    def of(cls, day: date | None) -> "BatchLinks":
        """Returns the addresses on the board of a day; None for today's."""
        return cls(
            url_for("bench.ticket", key=PLACE),
            url_for("counter.show", number=NUMBER),
            url_for("bench.tap", key=PLACE, back="board", day=day),
            url_for("bench.undo", key=PLACE, back="board", day=day),
            url_for("bench.more", key=PLACE, day=day),
        )

    def ticket(self, key: str) -> str:
        return self._ticket.replace(PLACE, key)

    def order(self, number: int) -> str:
        return self._order.replace(f"{NUMBER}", f"{number}")

    def tap(self, key: str) -> str:
        return self._tap.replace(PLACE, key)

    def undo(self, key: str) -> str:
        return self._undo.replace(PLACE, key)

    def more(self, key: str) -> str:
        """What else can be done with a batch, which its row asks for when somebody opens it."""
        return self._more.replace(PLACE, key)
