"""What the corral says to an order, in words for the counter."""

import math
from dataclasses import dataclass

from app.actions.corral import CorralFit
from app.planning.corral import Waiting
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class CorralNote:
    text: str
    too_full: bool


def corral_note(fit: CorralFit, formats: Formats) -> CorralNote:
    """Whether it is too full while the order waits, else when it is fullest then."""
    if fit.over is None:
        at = formats.moment(fit.fullest.start)
        return CorralNote(f"The corral is fullest on {at}: {filling(fit.fullest.room, fit.room)}.", too_full=False)
    without = " It is too full without this order too." if fit.already else ""
    when = _when(fit.over, formats)
    return CorralNote(f"The corral is too full {when}: {filling(fit.over.room, fit.room)}.{without}", too_full=True)


def filling(waits: float, room: int) -> str:
    return f"{whole(waits)} of {room} 11-inch balloons"


def whole(waits: float) -> int:
    """Rounded up: above the room by a little is above it."""
    return math.ceil(waits)


def _when(over: Waiting, formats: Formats) -> str:
    """“on Sat 21 Nov from 14:00 to 16:00”"""
    start, day = formats.local(over.start), formats.short_day(over.start)
    return f"on {day} from {formats.clock(over.start)} to {formats.beside(over.end, start.date())}"
