"""This module reads batches with the times of their taps at the bench, in one statement."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.store.models import Order, OrderBatch
from app.store.queries.sales import not_quick_sale
from app.store.rows import RowReader

MOST_BATCHES = 1_000


@dataclass(frozen=True, slots=True)
class TappedBatchRow:
    """A batch as it was tapped. bursts: [[colour, count], …]. started_at, filled_at: when the first and last tap
    were that were not undone."""

    number: int
    key: str
    balloon_type_id: int
    balloon_type_name: str
    gas: str
    treated: bool
    filled: int
    bursts: Any
    fill_size_in: float
    fill_share: float
    started_at: datetime
    filled_at: datetime

    @property
    def balloons(self) -> int:
        """How many balloons were handled, including those that burst."""
        return self.filled + sum(int(count) for _, count in self.bursts)


TAPPED = RowReader(
    TappedBatchRow,
    number=Order.number,
    key=OrderBatch.key,
    balloon_type_id=OrderBatch.balloon_type_id,
    balloon_type_name=OrderBatch.balloon_type_name,
    gas=OrderBatch.gas,
    treated=OrderBatch.treated,
    filled=OrderBatch.filled,
    bursts=OrderBatch.bursts,
    fill_size_in=OrderBatch.fill_size_in,
    fill_share=OrderBatch.fill_share,
    started_at=OrderBatch.started_at,
    filled_at=OrderBatch.filled_at,
)


def tapped_batches(session: Session, since: datetime) -> list[TappedBatchRow]:
    """Returns the latest MOST_BATCHES that were filled at the bench since this moment, the latest first.

    Quick sales are not among them, because they are tapped in one moment; nor are batches filled at a venue,
    because a crew is several people.
    """
    return TAPPED.read(session, _batches(since))


def _batches(since: datetime) -> Select[*tuple[Any, ...]]:
    return (
        TAPPED.select()
        .join(Order, Order.id == OrderBatch.order_id)
        .where(
            OrderBatch.filled_at >= since,
            OrderBatch.started_at.is_not(None),
            OrderBatch.filled > 0,
            Order.hand_over != HandOver.VENUE,
            not_quick_sale(),
        )
        .order_by(OrderBatch.filled_at.desc(), OrderBatch.id.desc())
        .limit(MOST_BATCHES)
    )
