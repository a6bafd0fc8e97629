"""What a gauge said, noted once however often it arrives, and taken back when it was a slip."""

from datetime import datetime

from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.actions.errors import NotThere, Problem, Refused
from app.actions.gas.cylinders import State, load_cylinder
from app.craft.gas import HIGHEST_BAR, Gauge
from app.store.models import Cylinder, CylinderReading
from app.store.queries.gas import reading_is_known

ABOVE_FULL = 1.15
"""No honest gauge says more than so many times the full pressure at that warmth. From memory."""


def note_reading(
    session: Session, who: str, cylinder_id: int, gauge: Gauge, now: datetime, client_key: str
) -> Cylinder:
    """Raises NotThere, and Refused where the gauge cannot say that."""
    row = load_cylinder(session, cylinder_id, to_change=True)
    if not reading_is_known(session, client_key):
        if row.state == State.GONE_BACK:
            raise Refused(Problem("bar", f"{row.name} has gone back: nothing is read on it any more."))
        keep_reading(session, who, row, gauge, now, client_key)
    return row


def keep_reading(session: Session, who: str, row: Cylinder, gauge: Gauge, now: datetime, client_key: str) -> None:
    """Raises Refused; a key that is already kept changes nothing."""
    _refuse_too_much(row, gauge)
    reading = CylinderReading(
        client_key=client_key, cylinder_id=row.id, bar=gauge.bar, celsius=gauge.celsius, at=now, who=who
    )
    try:
        with session.begin_nested():
            session.add(reading)
            session.flush()  # the key is taken here, or the reading came before
    except IntegrityError:
        if not reading_is_known(session, client_key):
            raise


def undo_reading(session: Session, who: str, cylinder_id: int, reading_id: int, now: datetime) -> Cylinder:
    """A second undo of the same reading changes nothing. Raises NotThere."""
    row = load_cylinder(session, cylinder_id, to_change=True)
    reading = session.get(CylinderReading, reading_id)
    if reading is None or reading.cylinder_id != row.id:
        raise NotThere("There is no such reading to undo.")
    if reading.undone_at is None:
        reading.undone_at, reading.undone_by = now, who
        session.flush()
    return row


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
