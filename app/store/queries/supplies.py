"""This module reads all supplies for the office."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import Supply


def all_supplies(session: Session) -> list[Supply]:
    """Returns all supplies, from light to heavy and from narrow to wide."""
    return list(session.scalars(select(Supply).order_by(Supply.grams, Supply.width_cm, Supply.name)))
