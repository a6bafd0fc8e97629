"""This module reads the names of the staff, with which they sign the history."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import StaffMember


def staff_names(session: Session) -> list[str]:
    return list(session.scalars(select(StaffMember.name).order_by(StaffMember.name)))
