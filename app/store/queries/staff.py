"""This module reads the names of the staff, with which they sign the history."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import StaffMember


def staff_names(session: Session) -> list[str]:
    return list(session.scalars(select(StaffMember.name).order_by(StaffMember.name)))


_ANY_NAME = select(StaffMember.name).limit(1)


def has_staff(session: Session) -> bool:
    """Returns whether a name was ever entered."""
    return session.scalar(_ANY_NAME) is not None
