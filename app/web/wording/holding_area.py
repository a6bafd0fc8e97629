"""What the holding area says to an order, in words for the counter."""

import math

from app.actions.bench.holding_area import HoldingAreaFit
from app.planning.holding_area import Waiting
from app.web.formats import Formats


def holding_area_sentence(fit: HoldingAreaFit, formats: Formats) -> str:
    """Whether it is too full while the order waits, else when it is fullest then."""
    if fit.over is None:
        at = formats.moment(fit.fullest.start)
        return f"The holding area is fullest on {at}: {filling(fit.fullest.room, fit.room)}."
    without = " It is too full without this order too." if fit.already else ""
    return f"The holding area is too full {_when(fit.over, formats)}: {filling(fit.over.room, fit.room)}.{without}"


def filling(waits: float, room: int) -> str:
    return f"{whole(waits)} of {room} 11-inch balloons"


def whole(waits: float) -> int:
    """Rounded up: above the room by a little is above it."""
    return math.ceil(waits)


def _when(over: Waiting, formats: Formats) -> str:
    """“on Sat 21 Nov from 14:00 to 16:00”"""
    start, day = formats.local(over.start), formats.short_day(over.start)
    return f"on {day} from {formats.clock(over.start)} to {formats.beside(over.end, start.date())}"
