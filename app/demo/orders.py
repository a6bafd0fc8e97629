"""This module has the orders of the invented shop around today: who wants what, when, and what was done for it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from app.actions.orders.hand_over import steps_of
from app.craft.money import Percent
from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.planning.shoptime import Fold, to_utc
from app.quoting.catalogue import Catalogue
from app.quoting.request import ExtraRequest, ExtraSort, HandOver, LineRequest, Occasion, OrderRequest
from app.quoting.shop import Shop
from app.quoting.states import HandOverStep, TapAction
from app.store.models import Order, OrderBatch


@dataclass(frozen=True, slots=True)
class DemoOrder:
    """One invented order.

    day: 0 is today. hand_over_time: when it is collected, delivered, or the crew is let in. request_fields: further
    fields of the order request. is_behind: whether the bench is behind with it. returned, take_down: when rental items
    come back on the next day, by the customer or with a crew. Hours are local; an end before the start is on the next
    day.
    """

    day: int
    customer: str
    phone: str
    hand_over_time: str
    starts: str
    ends: str
    lines: tuple[tuple[str, int, str, bool], ...]
    request_fields: tuple[tuple[str, object], ...] = ()
    is_behind: bool = False
    returned: str = ""
    take_down: str = ""


DEMO_ORDERS = (
    DemoOrder(-1, "Perpetua Lunn", "01632 960114", "11:00", "13:00", "17:30", (("11 in latex", 30, "15 white, 15 sage", False),)),
    DemoOrder(-1, "Zephyrwick Rowing Club", "01632 960221", "16:30", "18:00", "23:00", (("Harbour bouquet", 4, "navy, white", False),)),
    DemoOrder(-1, "Caspian Adeyemi", "01632 960308", "15:00", "16:00", "20:00", (("22 in foil", 2, "gold", False), ("11 in latex", 12, "black, gold", False))),
    DemoOrder(-1, "Hester Vale", "01632 960157", "10:30", "12:00", "15:00", (("Doorway column", 1, "peach, cream", False),), returned="16:00"),
    DemoOrder(0, "Odile Marchbanks", "01632 960440", "10:00", "12:00", "16:00", (("11 in latex", 24, "12 red, 12 white", False),)),
    DemoOrder(0, "Umberfinch School", "01632 960512", "11:30", "13:00", "16:30", (("12 in latex", 40, "yellow, green", False), ("9 in foil", 6, "star", False))),
    DemoOrder(0, "Bram Okonjo", "01632 960699", "13:30", "15:00", "19:00", (("Table trio", 8, "lilac, white", False),), is_behind=True),
    DemoOrder(0, "Ines Tolliver", "01632 960733", "15:30", "18:00", "00:00", (("11 in latex", 24, "rose, pearl", False), ("18 in foil", 1, "heart", False))),
    DemoOrder(0, "The Seventh Spoon", "01632 960845", "17:00", "18:30", "23:30", (("Harbour bouquet", 3, "teal, copper", False),),
         (("hand_over", HandOver.DELIVER), ("address", "The Seventh Spoon, 4 Thistledown Lane, Zephyrwick"), ("travel_minutes", 25),
          ("extras", (ExtraRequest(ExtraSort.DELIVERY, 1),)))),
    DemoOrder(0, "Rafferty Moss", "01632 960902", "10:30", "17:00", "21:30", (("11 in latex", 15, "orange", False),),
         (("accepted_risk", "Fine, they must be up for the speeches at seven."),)),
    DemoOrder(1, "Juno Achterberg", "01632 960155", "09:30", "14:00", "20:00", (("11 in latex", 50, "25 ivory, 25 gold", True),)),
    DemoOrder(1, "Zephyrwick Fete", "01632 960266", "12:00", "14:00", "18:00", (("16 in latex", 12, "red, blue", False),),
         (("surroundings", Surroundings.SHADE), ("venue_celsius", 27.0), ("wind_m_s", 6.0),
          ("accepted_risk", "We know it may be windy. We hang sandbags on them and take them into the tent if it blows."))),
    DemoOrder(1, "Perpetua Lunn", "01632 960 114", "15:30", "17:00", "22:00", (("Moon and stars", 2, "", False), ("36 in jumbo foil", 1, "silver four", False)),
         (("discount", Percent(Decimal(10))),)),
    DemoOrder(1, "Umber Hall Dances", "01632 960599", "16:00", "19:00", "23:59", (("11 in latex", 60, "30 black, 30 silver", False),),
         (("hand_over", HandOver.VENUE), ("address", "The Umber Hall, 1 Updraught Row, Zephyrwick"), ("travel_minutes", 15),
          ("set_up_minutes", 20), ("hanging_minutes", 30), ("crew", 2))),
    DemoOrder(2, "Amabel Strand", "01632 960488", "10:00", "15:00", "01:00", (("11 in latex", 36, "12 blush, 24 white", True), ("Doorway column", 2, "blush, white", False)),
         (("address", "Strand House, 9 Weirlight Road, Zephyrwick"), ("extras", (ExtraRequest(ExtraSort.TAKE_DOWN, 1),))), take_down="10:30"),
)  # fmt: skip


def build_demo_request(demo: DemoOrder, shop: Shop, catalogue: Catalogue, now: datetime) -> OrderRequest:
    """Returns the order request of an invented order, with its hours around now."""
    day = now.astimezone(shop.zone).date() + timedelta(days=demo.day)
    starts, hand_over_time = _at(day, demo.starts, shop), _at(day, demo.hand_over_time, shop)
    ends_on = day + timedelta(days=1) if demo.ends <= demo.starts else day
    request = OrderRequest(
        customer=demo.customer,
        phone=demo.phone,
        occasion=Occasion.EVENT,
        lines=tuple(_line(*line, catalogue) for line in demo.lines),
        ready_by=hand_over_time,
        event_start=starts,
        lasts_until=_at(ends_on, demo.ends, shop),
    )
    back_on = day + timedelta(days=1)
    request = replace(
        request,
        return_by=_at(back_on, demo.returned, shop) if demo.returned else None,
        take_down_at=_at(back_on, demo.take_down, shop) if demo.take_down else None,
    )
    request = replace(request, **dict(demo.request_fields))  # type: ignore[arg-type]  # the table above names fields of OrderRequest
    if request.hand_over is not HandOver.COLLECT:
        return replace(
            request, arrives_at=hand_over_time, ready_by=hand_over_time - timedelta(minutes=request.travel_minutes)
        )
    return request


def _at(day: date, hour: str, shop: Shop) -> datetime:
    return to_utc(datetime.combine(day, time.fromisoformat(hour)), shop.zone, Fold.FIRST)


def _line(name: str, quantity: int, colours: str, treated: bool, catalogue: Catalogue) -> LineRequest:
    design = next((design.id for design in catalogue.designs.values() if design.name == name), None)
    balloon_type = next((row for row in catalogue.balloon_types.values() if row.name == name), None)
    gas = Gas.AIR if balloon_type and balloon_type.air_only else Gas.HELIUM
    return LineRequest(balloon_type.id if balloon_type else None, design, quantity, colours, gas, treated)


def simulate_order(
    order: Order, demo: DemoOrder, drying_minutes: float
) -> Iterator[tuple[datetime, str, OrderBatch | Order]]:
    """Yields what the bench does with an order: the moment, the act or step, and the batch or order, in order of
    time.

    An order that lags is left half filled.
    """
    done = order.ready_by
    for place, batch in enumerate(sorted(order.batches, key=lambda batch: batch.inflate_by)):
        start = max(batch.not_before or batch.inflate_by, batch.inflate_by - timedelta(minutes=20))
        start = min(start, batch.inflate_by)
        yield start, TapAction.START, batch
        if place == 0 and len(demo.customer) % 2:
            yield start + timedelta(minutes=3), TapAction.BURST, batch
        if demo.is_behind:
            yield start + timedelta(minutes=batch.work_minutes // 2), TapAction.FILL, batch
            return
        done = start + timedelta(minutes=batch.work_minutes)
        yield done, TapAction.FINISH, batch
    for step in steps_of(treated=any(batch.treated and batch.quantity for batch in order.batches)):
        done += timedelta(minutes=drying_minutes if step is HandOverStep.DRY else 2)
        if step is HandOverStep.HANDED_OVER:
            done = max(order.ready_by + timedelta(minutes=8), done)
        yield done, step, order
