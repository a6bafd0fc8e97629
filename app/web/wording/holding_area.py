"""This module words for the counter what an order does to the holding area."""

import math

from app.actions.bench.holding_area import HoldingAreaFit
from app.planning.holding_area import Waiting
from app.web.formats import Formats


def holding_area_sentence(fit: HoldingAreaFit, formats: Formats) -> str:
    """Returns whether the holding area is too full while the order waits, or else when it is fullest then."""
    if fit.over is None:
        at = formats.moment(fit.fullest.start)
        return f"The holding area is fullest on {at}: {filling(fit.fullest.room, fit.room)}."
    without = " It is too full without this order too." if fit.already else ""
    return f"The holding area is too full {_when(fit.over, formats)}: {filling(fit.over.room, fit.room)}.{without}"


def filling(waits: float, room: int) -> str:
    """Returns how full the holding area is: “120 of 160 11-inch balloons”."""
    return f"{whole(waits)} of {room} 11-inch balloons"


def whole(waits: float) -> int:
    """Returns the room taken, rounded up, so that a little too much shows as too much."""
    return math.ceil(waits)


def _when(over: Waiting, formats: Formats) -> str:
    """Returns “on Sat 21 Nov from 14:00 to 16:00”."""
    start, day = formats.local(over.start), formats.short_day(over.start)
    return f"on {day} from {formats.clock(over.start)} to {formats.beside(over.end, start.date())}"
