"""An order as it is stored, for the sentences that are said of one: nothing has to save it."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from app.craft.price import Balance
from app.quoting.request import HandOver, Occasion
from app.quoting.states import OrderPart
from app.store.models import Order, OrderLine
from app.web.formats import Formats

FORMATS = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
READY = datetime(2026, 11, 21, 14, tzinfo=UTC)
UNPAID = Balance(2640, 0)


def at(hours, minutes=0):
    """A moment, from when the order is to be ready."""
    return READY + timedelta(hours=hours, minutes=minutes)


def stored_order(**changes):
    """Two dozen balloons, collected at 14:00 for an event from 15:00 to 19:00."""
    row = OrderLine(position=0, quantity=24, title="11 in latex", colours="12 red, 12 white", treated=False)
    row.part, row.parts = OrderPart.MAIN, []
    values = {
        "number": 1007,
        "customer": "Wilhelmina Hart",
        "occasion": Occasion.EVENT,
        "event_start": at(1),
        "lasts_until": at(5),
        "surroundings": "indoors",
        "hand_over": HandOver.COLLECT,
        "address": "4 Mill Lane",
        "ready_by": READY,
        "taken_at": READY - timedelta(days=1),
        "travel_minutes": 0,
        "total_minor": 2640,
        "tax_mode": "none",
        "tax_percent": 0,
        "rental_deposit_minor": 0,
        "deposit_asked_minor": 0,
    }
    return Order(lines=[row], **(values | changes))
