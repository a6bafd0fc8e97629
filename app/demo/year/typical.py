"""This module has what people order in the invented shop over a year, and what becomes of such orders."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from app.demo.orders import DemoOrder
from app.physics.light import Surroundings
from app.quoting.request import ExtraRequest, ExtraSort, HandOver
from app.quoting.states import CancelReason, LateReason


class Ending(StrEnum):
    """How an order ended. FILLED_FOR_NOTHING: cancelled when half of it was filled. NOT_MADE: nobody filled it."""

    HANDED_OVER = "handed over"
    CANCELLED = "cancelled"
    FILLED_FOR_NOTHING = "filled for nothing"
    NOT_MADE = "not made"


class Pays(StrEnum):
    """When the customer pays. DEPOSIT: what is asked with the order, and the rest at the door. ON_ACCOUNT: two weeks
    later. NEVER: still unpaid today."""

    AT_THE_DOOR = "at the door"
    DEPOSIT = "deposit"
    ON_ACCOUNT = "on account"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Course:
    """What becomes of an order. weight: how often, beside the other ways of the same order. minutes_late: how long
    after its hour it was ready. youngest_days, oldest_days: how long ago it may have been, at least and at most."""

    weight: float
    bursts: int = 0
    minutes_late: int = 0
    late_reason: LateReason | None = None
    pays: Pays = Pays.AT_THE_DOOR
    outcome: Ending = Ending.HANDED_OVER
    cancelled_for: CancelReason = CancelReason.CUSTOMER
    note: str = ""
    youngest_days: int = 0
    oldest_days: int = 10_000


PLAIN = Course(60)
DEPOSIT = Course(22, pays=Pays.DEPOSIT)
ONE_BURST = Course(16, bursts=1)
MANY_BURSTS = Course(4, bursts=3)
ON_ACCOUNT = Course(40, pays=Pays.ON_ACCOUNT, youngest_days=20)
UNPAID = Course(50, pays=Pays.NEVER, oldest_days=45)
LONG_UNPAID = Course(1, pays=Pays.NEVER, youngest_days=60, oldest_days=150)
SHORT_OF_STAFF = Course(6, minutes_late=35, late_reason=LateReason.STAFF)
SHORT_OF_STOCK = Course(6, minutes_late=55, late_reason=LateReason.STOCK)
STARTED_LATE = Course(9, minutes_late=20, late_reason=LateReason.STARTED_LATE)
WAITED_FOR_CUSTOMER = Course(6, minutes_late=45, late_reason=LateReason.CUSTOMER)
CANCELLED = Course(7, outcome=Ending.CANCELLED, note="the party moved")
CANNOT_MAKE = Course(
    3, pays=Pays.DEPOSIT, outcome=Ending.CANCELLED, cancelled_for=CancelReason.CANNOT_MAKE, note="staff ill"
)
FILLED_FOR_NOTHING = Course(5, outcome=Ending.FILLED_FOR_NOTHING, note="called off on the day")
NOT_MADE = Course(3, late_reason=LateReason.STAFF, outcome=Ending.NOT_MADE)

SOMEBODY, SOME_PHONE = "Everly Finch", "01632 960000"
"""In whose name the typical orders are lived."""
EVEN = (1.0,) * 12
SUMMER = (0.4, 0.5, 0.7, 1.0, 1.5, 2.0, 2.0, 1.6, 1.2, 0.7, 0.5, 0.6)
SCHOOL = (0.7, 0.9, 1.0, 0.8, 1.1, 1.8, 1.4, 0.2, 1.2, 1.0, 1.0, 1.3)
PARTY = (0.8, 1.0, 0.9, 1.0, 1.1, 1.2, 1.2, 1.0, 0.9, 1.1, 1.0, 1.5)


@dataclass(frozen=True, slots=True)
class Typical:
    """What is ordered again and again. weight: how often, beside the others. months: how much more or less in each
    month. season: the first and the last day on which it is sold, as “02-01”. by_business: by cafés, clubs and
    schools rather than by people."""

    demo: DemoOrder
    weight: float
    months: tuple[float, ...]
    ways: tuple[Course, ...]
    season: tuple[str, str] | None = None
    by_business: bool = False

    def weight_on(self, day: date) -> float:
        """Returns how often it is ordered for a day, beside the others."""
        if self.season and not _is_in(self.season, f"{day:%m-%d}"):
            return 0.0
        return self.weight * self.months[day.month - 1]


def _is_in(season: tuple[str, str], day: str) -> bool:
    first, last = season
    return first <= day <= last if first <= last else day >= first or day <= last


def _order(
    leaves: str,
    starts: str,
    ends: str,
    *lines: tuple[str, int, str, bool],
    returned: str = "",
    take_down: str = "",
    **more: object,
) -> DemoOrder:
    """Returns an order of somebody for today; more: fields of the order request."""
    fields = tuple(more.items())
    return DemoOrder(
        0, SOMEBODY, SOME_PHONE, leaves, starts, ends, lines, fields, returned=returned, take_down=take_down
    )


TYPICAL = (
    Typical(_order("11:00", "13:00", "17:30", ("11 in latex", 30, "15 white, 15 gold", False)), 10, PARTY,
            (PLAIN, ONE_BURST, MANY_BURSTS, STARTED_LATE, CANCELLED)),
    Typical(_order("14:00", "16:00", "20:00", ("11 in latex", 20, "10 rose, 10 pearl", False)), 8, SUMMER,
            (PLAIN, ONE_BURST, NOT_MADE)),
    Typical(_order("16:00", "18:00", "22:30", ("Harbour bouquet", 3, "navy, white", False)), 8, PARTY,
            (PLAIN, DEPOSIT, SHORT_OF_STAFF)),
    Typical(_order("13:30", "15:00", "19:00", ("Table trio", 8, "lilac, white", False)), 7, PARTY,
            (PLAIN, CANCELLED)),
    Typical(_order("10:30", "12:00", "15:00", ("Doorway column", 1, "peach, cream", False), returned="16:00"), 4, SUMMER,
            (DEPOSIT, CANNOT_MAKE)),
    Typical(_order("15:30", "17:00", "22:00", ("Moon and stars", 2, "", False), ("36 in jumbo foil", 1, "silver", False)), 5, PARTY,
            (PLAIN, SHORT_OF_STOCK)),
    Typical(_order("10:00", "12:00", "18:00", ("Sweetheart bouquet", 2, "", False)), 45, EVEN,
            (PLAIN, ONE_BURST), ("02-01", "02-14")),
    Typical(_order("14:30", "16:00", "21:00", ("Midwinter bouquet", 3, "", False)), 16, EVEN,
            (PLAIN,), ("11-20", "01-06")),
    Typical(_order("11:30", "13:00", "16:30", ("12 in latex", 40, "yellow, green", False), ("9 in foil", 6, "star", False)), 5, SCHOOL,
            (MANY_BURSTS, ON_ACCOUNT, UNPAID, NOT_MADE), by_business=True),
    Typical(_order("11:00", "15:00", "20:00", ("11 in latex", 50, "25 ivory, 25 gold", True)), 4, SUMMER,
            (DEPOSIT, MANY_BURSTS, FILLED_FOR_NOTHING)),
    Typical(_order("10:30", "12:00", "15:00", ("Bear in a balloon", 1, "clear", False)), 5, EVEN,
            (PLAIN, ONE_BURST)),
    Typical(_order("12:00", "14:00", "18:00", ("18 in foil", 6, "heart", False)), 5, (0.7, 3.0, 1.2, *EVEN[3:]),
            (PLAIN, SHORT_OF_STOCK, CANCELLED)),
    Typical(_order("15:00", "16:00", "20:00", ("22 in foil", 2, "gold", False), ("11 in latex", 12, "black, gold", False)), 8, PARTY,
            (ONE_BURST, WAITED_FOR_CUSTOMER, PLAIN)),
    Typical(_order("16:30", "18:30", "23:30", ("Harbour bouquet", 4, "teal, copper", False),
                   hand_over=HandOver.DELIVER, address="4 Thistledown Lane, Zephyrwick", travel_minutes=20,
                   extras=(ExtraRequest(ExtraSort.DELIVERY, 1),)), 4, EVEN,
            (ON_ACCOUNT, UNPAID, LONG_UNPAID), by_business=True),
    Typical(_order("12:00", "14:00", "17:00", ("16 in latex", 12, "red, blue", False), surroundings=Surroundings.SHADE,
                   venue_celsius=21.0, wind_m_s=2.0), 5, (0, 0, 0, 0.3, 1.0, 1.6, 1.6, 1.2, 0.5, 0, 0, 0),
            (PLAIN, MANY_BURSTS, SHORT_OF_STAFF)),
    Typical(_order("10:00", "14:00", "21:00", ("11 in latex", 36, "12 blush, 24 white", True), ("Doorway column", 2, "blush, white", False),
                   address="The Umber Hall, 1 Updraught Row, Zephyrwick", extras=(ExtraRequest(ExtraSort.TAKE_DOWN, 1),),
                   take_down="10:30"), 2, SUMMER, (DEPOSIT,)),
)  # fmt: skip
QUICK_SALES = (
    ("18 in foil", 1, "heart", 3), ("11 in latex", 3, "red", 4), ("9 in foil", 2, "star", 2),
    ("22 in foil", 1, "gold", 3), ("11 in latex", 6, "white", 2), ("20 in sphere", 1, "clear", 1),
)  # fmt: skip
"""What is sold over the counter: balloon type, quantity, colour, and how often beside the others."""
