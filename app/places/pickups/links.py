"""The addresses that stand on each card of the pick-ups."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from flask import url_for

from app.web.links import links_by_key, links_by_number

OfOrder = Callable[[int], str]


@dataclass(frozen=True, slots=True)
class PickupLinks:
    """Where a hand-over leads to, by the number of its order. Each address is built once for a page."""

    board: str
    step: OfOrder
    undo: OfOrder
    pay: OfOrder
    place: OfOrder
    late_reason: OfOrder
    tag: OfOrder
    order: OfOrder
    confirmation: OfOrder
    ticket: Callable[[str], str]

    @classmethod
    def of(cls, day: date | None) -> "PickupLinks":
        """Returns the addresses on the page of a day; None for today's."""
        return cls(
            board=url_for("pickups.board"),
            step=links_by_number("pickups.step", day=day),
            undo=links_by_number("pickups.undo", day=day),
            pay=links_by_number("pickups.pay", day=day),
            place=links_by_number("pickups.place", day=day),
            late_reason=links_by_number("pickups.say_why_late", day=day),
            tag=links_by_number("pickups.show_tag"),
            order=links_by_number("counter.show"),
            confirmation=links_by_number("counter.confirmation"),
            ticket=links_by_key("bench.ticket"),
        )
