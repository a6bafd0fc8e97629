"""A row is kept once under the key that its form carries, however often the form comes."""

from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.store.models import Cylinder, CylinderReading, Delivery, Lot, Payment, Photo, Tap

Row = TypeVar("Row", Cylinder, CylinderReading, Delivery, Lot, Payment, Photo, Tap)


def saved_with_key(session: Session, table: type[Row], client_key: str) -> Row | None:
    """The row that came with this key before."""
    return session.scalar(select(table).where(table.client_key == client_key))


def save_once(session: Session, row: Row) -> Row:
    """The row that stands under its key: this one, or the one that was quicker."""
    try:
        with session.begin_nested():
            session.add(row)
            session.flush()  # the key is taken here, or the form came before
    except IntegrityError:
        if known := saved_with_key(session, type(row), row.client_key):
            return known
        raise
    return row
