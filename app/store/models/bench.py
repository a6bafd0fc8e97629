"""These tables store the last plan of the bench. Nobody types anything here: the plan can be calculated again any
time."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.store.types import STRICT, Base, Json


class BenchPlan(Base):
    """The plan of the bench, in the only row of its table. board_version: the version of the board from which it
    was made.

    content: {"blocks": [{…}, …], "finish_starts": {order: moment}, "delays": [{…}, …], "news": [{…}, …]}, each with
    the fields of SavedBlock, SavedDelay and PlanChange by name, moments as seconds of UTC since 1970, orders as
    “number” or “number later”; store/queries/plan.py reads and writes it.
    """

    __tablename__ = "bench_plan"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    board_version: Mapped[int]
    made_at: Mapped[datetime]
    content: Mapped[Any] = mapped_column(Json(), nullable=False)


class PlannedStart(Base):
    """The latest start of a batch with which every order can be ready, when all share the bench. A batch that was
    started keeps the start that was planned last."""

    __tablename__ = "planned_start"
    __table_args__ = (STRICT,)
    batch_id: Mapped[int] = mapped_column(
        ForeignKey("batch.id", ondelete="CASCADE"), primary_key=True, autoincrement=False
    )
    starts_at: Mapped[datetime] = mapped_column(index=True)
