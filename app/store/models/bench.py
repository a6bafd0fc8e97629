"""The plan of the bench as it was last worked out. Nothing here is anybody's word: it can be made anew any time."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.store.types import STRICT, Base, Json


class BenchPlan(Base):
    """The only row. board_version: of the board that it was made for.

    told: {"blocks": [{…}, …], "finish_starts": {order: moment}, "delays": [{…}, …], "news": [{…}, …]}, each with
    the fields of SavedBlock, SavedDelay and News by name, moments as seconds of UTC since 1970, orders as “number”
    or “number later”; store/queries/plan.py reads and writes it.
    """

    __tablename__ = "bench_plan"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    board_version: Mapped[int]
    made_at: Mapped[datetime]
    told: Mapped[Any] = mapped_column(Json(), nullable=False)


class PlannedStart(Base):
    """The latest start of a batch that leaves every order ready, bench shared; of one that was begun, as it was
    planned last."""

    __tablename__ = "planned_start"
    __table_args__ = (STRICT,)
    batch_id: Mapped[int] = mapped_column(
        ForeignKey("batch.id", ondelete="CASCADE"), primary_key=True, autoincrement=False
    )
    starts_at: Mapped[datetime] = mapped_column(index=True)
