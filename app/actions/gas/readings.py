"""What a gauge said, noted once however often it arrives, and taken back when it was a slip."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.actions.errors import NotThere, Problem, Refused
from app.actions.gas.cylinders import State, load_cylinder
from app.actions.history import touch_board, write_history
from app.craft.gas import HIGHEST_BAR, Gauge
from app.store.models import Cylinder, CylinderReading, Order
from app.store.queries.gas import latest_reading, reading_is_known

ABOVE_FULL = 1.15
"""No honest gauge says more than so many times the full pressure at that warmth. From memory."""


@dataclass(frozen=True, slots=True)
class Then:
    """What a cylinder is from a reading on."""

    state: State
    order_id: int | None = None


def note_reading(
    session: Session, who: str, cylinder_id: int, gauge: Gauge, now: datetime, client_key: str
) -> Cylinder:
    """Raises NotThere, and Refused where the gauge cannot say that."""
    row = load_cylinder(session, cylinder_id, to_change=True)
    if not reading_is_known(session, client_key):
        if row.state == State.GONE_BACK:
            raise Refused(Problem("bar", f"{row.name} has gone back: nothing is read on it any more."))
        keep_reading(session, who, row, gauge, now, client_key, Then(State(row.state), row.order_id))
    return row


def keep_reading(
    session: Session, who: str, row: Cylinder, gauge: Gauge, now: datetime, client_key: str, then: Then
) -> None:
    """And what the cylinder is from then on. Raises Refused; a key that is already kept changes nothing."""
    _refuse_too_much(row, gauge)
    read = {"bar": gauge.bar, "celsius": gauge.celsius, "state": then.state, "order_id": then.order_id}
    reading = CylinderReading(client_key=client_key, cylinder_id=row.id, at=now, who=who, **read)
    try:
        with session.begin_nested():
            session.add(reading)
            session.flush()  # the key is taken here, or the reading came before
    except IntegrityError:
        if not reading_is_known(session, client_key):
            raise
        return
    row.state, row.order_id = then.state, then.order_id
    session.flush()


def undo_reading(session: Session, who: str, cylinder_id: int, reading_id: int, now: datetime) -> Cylinder:
    """The cylinder is again what the reading before said, unless it was moved without a reading since. A second
    undo of the same reading changes nothing. Raises NotThere."""
    row = load_cylinder(session, cylinder_id, to_change=True)
    reading = session.get(CylinderReading, reading_id, populate_existing=True)
    if reading is None or reading.cylinder_id != row.id:
        raise NotThere("There is no such reading to undo.")
    if reading.undone_at is None:
        told = latest_reading(session, row.id)
        reading.undone_at, reading.undone_by = now, who
        session.flush()
        if told is reading and (row.state, row.order_id) == (reading.state, reading.order_id):
            _put_back(session, who, row, now)
    return row


def _put_back(session: Session, who: str, row: Cylinder, now: datetime) -> None:
    """To what its latest standing reading says; without one it is as it came."""
    before, was_along = latest_reading(session, row.id), row.order_id
    row.state, row.order_id = (before.state, before.order_id) if before else (State.FULL, None)
    session.flush()
    if row.order_id != was_along:
        _tell_orders(session, who, row, was_along, now)


def _tell_orders(session: Session, who: str, row: Cylinder, was_along: int | None, now: datetime) -> None:
    for order_id, act in ((was_along, "does not go along"), (row.order_id, "goes along again")):
        if order_id is not None:
            write_history(session, session.get_one(Order, order_id), who, f"cylinder {row.name} {act}", [], now)
    touch_board(session)


def full_gauge(row: Cylinder, celsius: float) -> Gauge:
    """What the gauge of a full one says at that warmth."""
    try:
        return Gauge(row.full_bar).at(celsius)
    except ValueError:
        return Gauge(HIGHEST_BAR, celsius)


def _refuse_too_much(row: Cylinder, gauge: Gauge) -> None:
    full = full_gauge(row, gauge.celsius).bar
    if gauge.bar > full * ABOVE_FULL:
        sentence = (
            f"{row.name} full says {full:.0f} bar at {gauge.celsius:g} °C: {gauge.bar:.0f} cannot be."
            " Look again, and write psi with its unit."
        )
        raise Refused(Problem("bar", sentence))
