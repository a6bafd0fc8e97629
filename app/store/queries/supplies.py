"""This module reads all supplies for the office."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import SupplyRow


def all_supplies(session: Session) -> list[SupplyRow]:
    """Returns all supplies, from light to heavy and from narrow to wide."""
    return list(session.scalars(select(SupplyRow).order_by(SupplyRow.grams, SupplyRow.width_cm, SupplyRow.name)))
