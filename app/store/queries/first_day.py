"""This module asks whether anything was ever done in a shop."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import OfficeChange, Order, StaffMember


def has_orders(session: Session) -> bool:
    """Returns whether an order was ever saved."""
    return session.scalar(select(Order.id).limit(1)) is not None


def is_untouched(session: Session) -> bool:
    """Returns whether nobody ever saved an order, a name, or something that the office changes."""
    kept = (Order.id, StaffMember.name, OfficeChange.id)
    return all(session.scalar(select(column).limit(1)) is None for column in kept)


def was_changed(session: Session, subject: str) -> bool:
    """Returns whether the office ever changed this. subject: of its history."""
    return session.scalar(select(OfficeChange.id).where(OfficeChange.subject == subject).limit(1)) is not None
