"""A row is saved once under the key of its form, however often the form is sent."""

from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.store.models import Cylinder, CylinderReading, Delivery, Lot, Payment, Photo, Tap

Row = TypeVar("Row", Cylinder, CylinderReading, Delivery, Lot, Payment, Photo, Tap)


def saved_with_key(session: Session, table: type[Row], client_key: str) -> Row | None:
    """Returns the row that was saved with this key; None if there is none."""
    return session.scalar(select(table).where(table.client_key == client_key))


def save_once(session: Session, row: Row) -> Row:
    """Saves the row and returns it; if another form with its key was quicker, returns that one's row."""
    try:
        with session.begin_nested():
            session.add(row)
            session.flush()  # this flush takes the key; it fails if the form was sent before
    except IntegrityError:
        if known := saved_with_key(session, type(row), row.client_key):
            return known
        raise
    return row
