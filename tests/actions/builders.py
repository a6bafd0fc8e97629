"""What the tests of actions take orders with: a plain request for today, and changes of it."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import select

from app.actions.bench.taps import Press, tap_batch
from app.actions.catalogue.designs import DesignFigures, add_design
from app.actions.context import Context
from app.actions.orders.cancel import Cancellation
from app.actions.orders.concerns import ConcernKind
from app.actions.orders.take import change_order, take_order
from app.actions.records.catalogue import load_catalogue
from app.physics.balloon import Gas
from app.quoting.catalogue import Part
from app.quoting.request import HandOver, LineRequest, Occasion, OrderRequest
from app.quoting.shop import TripDefaults
from app.quoting.states import CancelReason, TapAction
from app.store.models import BalloonTypeRow
from tests.saved_shops import saved_shop

MORNING = datetime(2026, 11, 21, 7, 0, tzinfo=UTC)
"""The Saturday of the tests' clock; London shows UTC."""
EIGHT = MORNING.replace(hour=8)
"""When the door opens."""
WHO = "Maren"
CALLED_OFF = Cancellation(CancelReason.CUSTOMER)
"""A cancellation from which the shop keeps nothing, where the reason is not what a test is about."""
ANYWAY = frozenset(ConcernKind)
"""What a step is taken in spite of, where money, drying and helium are not what a test is about."""
BENCH_REASON = "They come by turns."
"""Why orders that clash at the bench are taken all the same, where that is not what a test is about."""


USUAL_TRIP = TripDefaults(
    crew=2, venue_travel_minutes=30, set_up_minutes=20, hanging_minutes=30, take_down_minutes=30
)
"""A new shop's."""


def at(hour, minute=0, days=0):
    """A moment of that Saturday, or of a day near it."""
    return MORNING.replace(hour=hour, minute=minute) + timedelta(days=days)


FULL_BY_NOON = {
    "ready_by": at(12),
    "event_start": at(15),
    "lasts_until": at(17),
    "bench_override": BENCH_REASON,
}
"""May be filled from eight on, and is taken even if the bench does not fit."""


VENUE = {
    "hand_over": HandOver.VENUE,
    "address": "The Corn Hall",
    "ready_by": at(11),
    "arrives_at": at(11, 30),
    "travel_minutes": 30,
    "set_up_minutes": 20,
    "hanging_minutes": 30,
    "crew": 2,
}
"""Filled at the venue by two people, who leave at eleven."""


def balloon_type_id(catalogue, name="11 in latex"):
    return next(balloon_type.id for balloon_type in catalogue.balloon_types.values() if balloon_type.name == name)


def ctx(session, who=WHO, shop=None, catalogue=None, now=MORNING):
    """What an action is handed; the shop and its catalogue as they are saved, unless others are given."""
    if not (shop and catalogue):
        saved = saved_shop(session)
        shop, catalogue = shop or saved.shop, catalogue or saved.catalogue
    return Context(session, who, shop, catalogue, now)


def change_type(session, name="11 in latex", **changes):
    """The catalogue after a balloon type was changed, as its office page changes it."""
    row = session.scalars(select(BalloonTypeRow).filter_by(name=name)).one()
    for field, value in changes.items():
        setattr(row, field, value)
    session.flush()
    return load_catalogue(session)


def line(catalogue, name="11 in latex", quantity=24, **changes):
    wanted = {
        "balloon_type_id": balloon_type_id(catalogue, name),
        "design_id": None,
        "quantity": quantity,
        "colours": "red",
    }
    return LineRequest(**(wanted | changes))


def design_line(row, quantity=1, **changes):
    wanted = {"balloon_type_id": None, "design_id": row.id, "quantity": quantity, "colours": "blue"}
    return LineRequest(**(wanted | changes))


def order_request(catalogue, *lines, **changes):
    """Two dozen red 11-inch latex for an event from 15:00 to 17:00, collected at 14:00."""
    wanted = {
        "customer": "Wilhelmina Hart",
        "phone": "01632 960101",
        "occasion": Occasion.EVENT,
        "lines": lines or (line(catalogue),),
        "ready_by": at(14),
        "event_start": at(15),
        "lasts_until": at(17),
    }
    return OrderRequest(**(wanted | changes))


def take(session, wanted, now=MORNING, key="key-1"):
    return take_order(ctx(session, who=WHO, now=now), wanted, key)


def change(session, order, wanted, now=MORNING, version=None, fate=None):
    version = order.version if version is None else version
    return change_order(ctx(session, who="Tobiah", now=now), order.number, version, wanted, fate)


def tap(session, batch, act, now=EIGHT, key="", **more):
    """One tap; its key is made of what it is unless given."""
    press = Press(TapAction(act), key or f"{batch.key} {act} {now} {more}", **more)
    return tap_batch(ctx(session, now=now), batch.key, press)


def part(catalogue, name="11 in latex", gas=Gas.HELIUM, quantity=9, colours=()):
    return Part(balloon_type_id(catalogue, name), gas, quantity, colours)


def design_figures(catalogue, **changes):
    """One silver foil and nine latex in the customer's colours, at a price that is set."""
    foil = part(catalogue, "18 in foil", quantity=1, colours=(("silver", 1),))
    wanted = {"name": "Sea bouquet", "price_minor": 2600, "assembly_minutes": 5, "parts": (foil, part(catalogue))}
    return DesignFigures(**(wanted | changes))


def new_design(session, catalogue, **changes):
    return add_design(ctx(session, catalogue=catalogue), design_figures(catalogue, **changes))


def bouquet(session, catalogue, name="Sea bouquet", price=2600):
    return new_design(session, catalogue, name=name, price_minor=price)


def problems(refusal):
    """The sentences of a refusal by their field, those of a line as (field, line)."""
    told = {}
    for problem in refusal.value.problems:
        field = problem.field if problem.line is None else (problem.field, problem.line)
        told.setdefault(field, []).append(problem.sentence)
    return told
